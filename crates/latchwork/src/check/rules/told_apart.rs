//! Sizes with the same needles and rows.

use crate::design::Design;
use crate::fact::CheckFact;
use crate::notice::{Notice, Notices};
use crate::stitches::Stitches;

/// Sizes that are alike to the needle are the same once knitted.
pub(in crate::check) fn told_apart(design: &Design, settled: &[Option<Stitches>], found: &mut [Notices]) {
    for j in 1..settled.len() {
        let Some(stitches) = &settled[j] else { continue };
        let Some(i) = (0..j).find(|i| settled[*i].as_ref() == Some(stitches)) else { continue };
        let (a, b) = (&design.sizes[i], &design.sizes[j]);
        found[j].push(Notice::warning(b.span, CheckFact::SizesAlike { first: a.name.clone(), second: b.name.clone() }));
    }
}
