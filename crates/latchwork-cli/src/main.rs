//! The program.
fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let (design, notices) = latchwork::design::from_text(&text);
    for n in &notices.0 { eprintln!("{n:?} {:?}", n.span.map(|s| &text[s.start..s.start+s.len])); }
    let Some(d) = design else { return };
    let all: Vec<usize> = (0..d.sizes.len()).collect();
    let t = std::time::Instant::now();
    let out = latchwork::check::prove(&d, &all);
    eprintln!("{:?}", t.elapsed());
    for (s, n) in &out.notices { eprintln!("{s:?} {n:?}"); }
    for p in &out.sizes {
        eprintln!("size {} {:?}", d.sizes[p.size].name, p.grams(&d, 0));
        for m in &p.fit { eprintln!("  {:?} {:?}", m, m.ease_percent()); }
        for w in &p.stitches.pieces { eprintln!("  {} {:?}", w.places, w.stretches.iter().map(|s| (s.needles, s.needles_end, s.rows, &s.shapings)).collect::<Vec<_>>()); }
    }
}
