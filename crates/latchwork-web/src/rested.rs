//! Cloth at rest and its pictures: looked up in the store, or worked out side by side and put there.

use std::collections::BTreeMap;
use std::sync::{Mutex, OnceLock};

use latchwork::check::Proven;
use latchwork::cloth::{Asked, Found, NoCloth, PieceAtRest, bring_to_rest};
use latchwork::handout::{ClothPicture, Shape, Wanted, cloth};
use latchwork::reach::Looks;
use latchwork_print::{Pages, PrintError, jpeg};
use latchwork_thread::keep::{from_bytes, to_bytes};

use crate::shared::unpoisoned;
use crate::side_by_side;
use crate::store::Store;

/// Repeats at rest, by the names of what was asked.
#[derive(Debug, Clone, Default)]
pub struct Rests(BTreeMap<String, Found>);

impl Rests {
    /// Finds or works out what is asked for.
    #[must_use]
    pub fn of(store: &Store, asked: &[Asked]) -> Rests {
        Rests::beside(store, asked, 0, &|_| ())
    }

    /// The same, with this many other jobs done alongside.
    fn beside(store: &Store, asked: &[Asked], others: usize, other: &(dyn Fn(usize) + Sync)) -> Rests {
        let mut known = BTreeMap::new();
        let mut missing: BTreeMap<String, Asked> = BTreeMap::new();
        for a in asked {
            let name = a.name();
            match store.find(&name).and_then(|b| from_bytes(&b)) {
                Some(found) => known.insert(name, found.map_err(NoCloth::Rest)),
                None => missing.insert(name, a.clone()).and(None),
            };
        }
        let missing: Vec<(String, Asked)> = missing.into_iter().collect();
        let asked: Vec<Asked> = missing.iter().map(|m| m.1.clone()).collect();
        let each = |count: usize, job: &(dyn Fn(usize) + Sync)| {
            side_by_side(others + count, &|i| if i < others { other(i) } else { job(i - others) });
        };
        for ((name, _), found) in missing.into_iter().zip(bring_to_rest(&asked, &each)) {
            match &found {
                Ok(r) => store.keep(&name, &to_bytes(&Ok(r.clone()))),
                Err(NoCloth::Rest(why)) => store.keep(&name, &to_bytes(&Err(why.clone()))),
                Err(NoCloth::Cell(_) | NoCloth::Unsettled) => {}
            }
            known.insert(name, found);
        }
        Rests(known)
    }

    /// What is known of a repeat.
    #[must_use]
    pub fn known(&self, asked: &Asked) -> Option<Found> {
        self.0.get(&asked.name()).cloned()
    }
}

/// The pictures of some handouts, each for some of the proven sizes (by place among them); and what is not shown, in
/// sentences.
#[must_use]
pub fn pictures(store: &Store, proven: &Proven, handouts: &[Vec<usize>]) -> (Vec<Vec<ClothPicture>>, Vec<String>) {
    let named = |sizes: &Vec<usize>| -> Vec<(String, Wanted<'_>)> {
        cloth(proven, sizes).into_iter().map(|w| (w.name(), w)).collect()
    };
    let wanted: Vec<Vec<(String, Wanted<'_>)>> = handouts.iter().map(named).collect();
    let once: BTreeMap<&str, Wanted<'_>> = wanted.iter().flatten().map(|(n, w)| (n.as_str(), w.clone())).collect();
    let once: Vec<(&str, Wanted<'_>)> = once.into_iter().collect();
    let drawn: Vec<OnceLock<Result<ClothPicture, String>>> = once.iter().map(|_| OnceLock::new()).collect();
    for (place, (name, _)) in drawn.iter().zip(&once) {
        if let Some(picture) = store.find(name).and_then(|b| picture_from(&b)) {
            place.get_or_init(|| Ok(picture));
        }
    }
    let mut missing: Vec<usize> = (0..once.len()).filter(|i| drawn[*i].get().is_none()).collect();
    if !missing.is_empty() {
        // What takes longest is begun first.
        missing.sort_by_key(|i| std::cmp::Reverse(once[*i].1.loops()));
        let design = proven.design();
        let sheets: Vec<Mutex<Option<PieceAtRest>>> = missing.iter().map(|_| Mutex::new(None)).collect();
        let sheet = |k: usize| *unpoisoned(&sheets[k]) = once[missing[k]].1.sheet();
        let rests = Rests::beside(store, &Looks::asked(design), missing.len(), &sheet);
        let looks = Looks::of(design, &|a| rests.known(a));
        side_by_side(missing.len(), &|k| {
            let i = missing[k];
            let made = drawn[i].get_or_init(|| once[i].1.draw(&looks, unpoisoned(&sheets[k]).take(), &jpeg));
            if let Ok(picture) = made {
                store.keep(once[i].0, &picture_bytes(picture));
            }
        });
    }
    let of = |name: &str| Some(drawn[once.binary_search_by_key(&name, |o| o.0).ok()?].get()?.clone());
    let mut not_shown: Vec<String> = Vec::new();
    let mut shown = Vec::new();
    for handout in &wanted {
        let mut all = Vec::new();
        for found in handout.iter().filter_map(|(name, _)| of(name)) {
            match found {
                Ok(picture) => all.push(picture),
                Err(why) if !not_shown.contains(&why) => not_shown.push(why),
                Err(_) => {}
            }
        }
        shown.push(all);
    }
    (shown, not_shown)
}

/// A handout's PDF, found in the store or set and kept there.
///
/// # Errors
/// When it cannot be set.
pub fn set(store: &Store, pages: Pages) -> Result<Vec<u8>, PrintError> {
    let content = pages.content();
    if let Some(pdf) = store.find(&content) {
        return Ok(pdf);
    }
    let pdf = pages.pdf()?;
    store.keep(&content, &pdf);
    Ok(pdf)
}

/// A picture as it is kept: caption, words and shape, each after its length, then the JPEG after its own, then that of the cover.
fn picture_bytes(p: &ClothPicture) -> Vec<u8> {
    let shape = match p.shape {
        Shape::Near => "near",
        Shape::Wide => "wide",
        Shape::Narrow => "narrow",
    };
    let mut out = Vec::new();
    for text in [&p.caption, &p.alt, shape] {
        out.extend((text.len() as u64).to_le_bytes());
        out.extend(text.as_bytes());
    }
    out.extend((p.jpeg.len() as u64).to_le_bytes());
    out.extend(&p.jpeg);
    out.extend(&p.cover);
    out
}

fn picture_from(mut bytes: &[u8]) -> Option<ClothPicture> {
    let mut text = || {
        let (length, rest) = bytes.split_first_chunk::<8>()?;
        let (text, rest) = rest.split_at_checked(usize::try_from(u64::from_le_bytes(*length)).ok()?)?;
        bytes = rest;
        String::from_utf8(text.to_vec()).ok()
    };
    let (caption, alt, shape) = (text()?, text()?, text()?);
    let shape = match shape.as_str() {
        "near" => Shape::Near,
        "wide" => Shape::Wide,
        "narrow" => Shape::Narrow,
        _ => return None,
    };
    let (length, rest) = bytes.split_first_chunk::<8>()?;
    let (jpeg, cover) = rest.split_at_checked(usize::try_from(u64::from_le_bytes(*length)).ok()?)?;
    Some(ClothPicture { caption, alt, jpeg: jpeg.to_vec(), shape, cover: cover.to_vec() })
}
