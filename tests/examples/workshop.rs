//! Timings of the workshop page, as docs/performance.md has them: `cargo run --release -q -p latchwork-tests --example workshop`.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "prints a table")]

use std::time::Instant;

use latchwork_tests::workshop::Workshop;

fn base(page: &str) -> String {
    let at = page.find("name=\"base\" value=\"").unwrap() + 19;
    page[at..at + 16].to_string()
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let begun = Instant::now();
    let w = Workshop::open(folder.path(), &[]);
    let _ = w.get("/");
    println!("start to first page          {:>7.0} ms", begun.elapsed().as_secs_f64() * 1e3);
    let _ = w.post("/examples", &[]);
    let hat = std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    let (from, to) = (hat.find("sizes {").unwrap(), hat.find("piece \"hat\"").unwrap());
    let sizes: String = (0..10).map(|k| format!("size \"{0}\" {{ head-girth (cm){0}; }}\n", 42 + 2 * k)).collect();
    let ten = format!("{}sizes {{\n{sizes}}}\n\n{}", &hat[..from], &hat[to..]);
    std::fs::write(folder.path().join("ten.kdl"), ten).unwrap();
    for (name, told) in [("deck-hat.kdl", "an edit, five sizes"), ("ten.kdl", "an edit, ten sizes")] {
        let mut page = w.get(&format!("/d/{name}")).text();
        let mut times: Vec<f64> = (20..50)
            .map(|rows| {
                let fields = [
                    ("base", base(&page)),
                    ("size", "54".to_string()),
                    ("piece", "hat".to_string()),
                    ("stretch", "brim".to_string()),
                    ("what", "rows".to_string()),
                    ("value", rows.to_string()),
                ];
                let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (*k, v.as_str())).collect();
                let begun = Instant::now();
                page = w.post(&format!("/d/{name}/revise"), &fields).unwrap().text();
                begun.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!("{told:<28} {:>7.1} ms at the median of 30, {:.1} at worst", times[15], times[29]);
    }
    let fabrics = (0..11).map(|k| (format!("/fabrics/{k}"), "a fabric"));
    let pictures = [
        ("/d/deck-hat.kdl/cloth/54/0/public.png", "cloth of a piece, the first"),
        ("/d/deck-hat.kdl/cloth/54/0/back.png", "its other side"),
        ("/d/deck-hat.kdl/worn/54/worn.png", "sewn and on a head"),
        ("/d/deck-hat.kdl/handout.pdf", "handout"),
    ];
    let mut slowest = 0.0_f64;
    for (path, told) in pictures.map(|(p, t)| (p.to_string(), t)).into_iter().chain(fabrics) {
        let begun = Instant::now();
        assert_eq!(w.get(&path).status, 200, "{path}");
        let took = begun.elapsed().as_secs_f64() * 1e3;
        if told == "a fabric" {
            slowest = slowest.max(took);
        } else {
            println!("{told:<28} {took:>7.0} ms");
        }
    }
    println!("the slowest fabric           {slowest:>7.0} ms");
    let status = std::fs::read_to_string(format!("/proc/{}/status", w.id())).unwrap_or_default();
    if let Some(most) = status.lines().find(|l| l.starts_with("VmHWM")) {
        println!("most memory                  {}", most.trim_start_matches("VmHWM:").trim());
    }
}
