//! Any bytes as a design: it is read, and where it can be, worked out, rehearsed and put into words.
#![no_main]

use latchwork::check::prove;
use latchwork::design::{Shelf, book_from_text, from_text_with, person_from_text};
use latchwork::handout::handout;
use latchwork::measure::find_machine;
use latchwork::reach::restate;
use latchwork::record;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let _ = person_from_text(text);
    let (book, _) = book_from_text(text);
    let shelf = Shelf { books: book.into_iter().map(|b| ("book.kdl".to_string(), b)).collect(), ..Shelf::default() };
    let (Some(design), _) = from_text_with(text, &shelf) else { return };
    let sizes: Vec<usize> = (0..design.sizes.len().min(2)).collect();
    // Pieces of many thousand rows only take time.
    let outcome = prove(&design, &sizes);
    let loops: usize = outcome.sizes.iter().flat_map(|s| &s.pieces).map(|p| p.run.loops.len()).sum();
    if let (Some(proven), true) = (&outcome.proven, loops < 200_000) {
        let all: Vec<usize> = (0..proven.sizes().len()).collect();
        let _ = handout(proven, &all, true);
        let _ = record::plan(&design, proven.sizes());
        let _ = record::fit(&design, proven.sizes());
        let restated = restate(text, &design, find_machine("mid"), None);
        let _ = from_text_with(&restated.text, &Shelf::default());
    }
});
