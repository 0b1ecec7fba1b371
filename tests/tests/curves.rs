//! Curved edges: the list of changes that lies nearest to the curve.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork::stitches::CurvedEdge;

/// A quarter of an ellipse that begins along the row and ends along the column, as an armhole does.
fn quarter(wide: f64, high: f64) -> impl Fn(f64) -> f64 {
    move |y: f64| wide * (1.0 - (1.0 - y / high).powi(2)).max(0.0).sqrt()
}

fn off(edge: &CurvedEdge<'_>, list: &[u32]) -> f64 {
    let mut e = 0.0;
    list.iter()
        .take(edge.rows as usize)
        .enumerate()
        .map(|(j, d)| {
            e += f64::from(*d);
            (e - (edge.at)((j as f64 + 0.5) * edge.size.1) / edge.size.0).powi(2)
        })
        .sum()
}

/// The rows after which one stitch is changed, and the first change.
fn told(list: &[u32]) -> (u32, Vec<(usize, u32)>) {
    (list[0], list.iter().copied().enumerate().skip(1).filter(|d| d.1 > 0).collect())
}

/// Worked by hand for the model of the garment: stitches 3.4 mm by rows of 2.4 mm, and 3.33 by 2.38.
#[test]
fn quarter_ellipses_as_worked() {
    let (wide, high) = (12.0 * 3.4, 18.0 * 2.4);
    let at = quarter(wide, high);
    let edge = CurvedEdge {
        stitches: 12,
        rows: 18,
        size: (3.4, 2.4),
        most: 2,
        bound_off: Some(0),
        every: 1,
        first: true,
        last: true,
        at: &at,
    };
    let list = edge.changes().unwrap();
    assert_eq!(told(&list), (3, vec![(1, 2), (2, 1), (3, 1), (4, 1), (5, 1), (7, 1), (9, 1), (13, 1)]));
    assert!((off(&edge, &list) - 1.0103).abs() < 5e-5);
    let odd = CurvedEdge { bound_off: Some(1), ..edge };
    assert!((off(&odd, &odd.changes().unwrap()) - 1.6277).abs() < 5e-5);
    let at = quarter(9.0 * 3.33, 24.0 * 2.38);
    let edge = CurvedEdge { stitches: 9, rows: 24, size: (3.33, 2.38), most: 1, at: &at, ..edge };
    let list = edge.changes().unwrap();
    assert_eq!(told(&list), (2, [1, 2, 3, 5, 7, 11, 16].map(|row| (row, 1)).to_vec()));
    assert!((off(&edge, &list) - 1.5372).abs() < 5e-5);
    let odd = CurvedEdge { bound_off: Some(1), ..edge };
    assert!((off(&odd, &odd.changes().unwrap()) - 2.1923).abs() < 5e-5);
}

/// All lists of changes that are allowed.
fn all(edge: &CurvedEdge<'_>, row: u32, left: u32, list: &mut Vec<u32>, found: &mut Vec<Vec<u32>>) {
    if row > edge.rows {
        if left == 0 {
            found.push(list.clone());
        }
        return;
    }
    for d in 0..=left {
        let by_tool = d <= edge.most;
        let here = row.is_multiple_of(edge.every) && (row > 0 || edge.first) && (row < edge.rows || edge.last);
        if d > 0 && !(here && (by_tool || edge.bound_off == Some(row % 2))) {
            continue;
        }
        list.push(d);
        all(edge, row + 1, left - d, list, found);
        list.pop();
    }
}

/// Against every list of all edges of up to six stitches and rows, on curves that go in fast and slowly.
#[test]
fn nearest_of_all_lists() {
    let mut compared = 0;
    for (stitches, rows) in (0..=6).flat_map(|w| (1..=6).map(move |r| (w, r))) {
        for (most, bound_off) in [(1, None), (2, None), (3, None), (1, Some(0)), (2, Some(1))] {
            for (every, first, last) in
                [(1, true, true), (1, false, true), (1, true, false), (2, true, true), (3, true, false)]
            {
                let (w, h) = (f64::from(stitches) * 3.4, f64::from(rows) * 2.4);
                let fast = quarter(w, h);
                let slow = |y: f64| w * (1.0 - (1.0 - (y / h).powi(2)).max(0.0).sqrt());
                let straight = |y: f64| w * y / h;
                let curves: [&dyn Fn(f64) -> f64; 3] = [&fast, &slow, &straight];
                for at in curves {
                    let edge = CurvedEdge { stitches, rows, size: (3.4, 2.4), most, bound_off, every, first, last, at };
                    let mut lists = Vec::new();
                    all(&edge, 0, stitches, &mut Vec::new(), &mut lists);
                    let cost = |l: &Vec<u32>| {
                        let (n, q) = (l.iter().filter(|d| **d > 0).count(), l.iter().map(|d| d * d).sum::<u32>());
                        (off(&edge, l), n, q)
                    };
                    let better = |a: &Vec<u32>, b: &Vec<u32>| {
                        let (x, y) = (cost(a), cost(b));
                        if (x.0 - y.0).abs() <= 1e-9 { (x.1, x.2, a) < (y.1, y.2, b) } else { x.0 < y.0 }
                    };
                    let best = lists.iter().fold(None, |best: Option<&Vec<u32>>, l| match best {
                        Some(b) if !better(l, b) => best,
                        _ => Some(l),
                    });
                    assert_eq!(
                        edge.changes().as_ref(),
                        best,
                        "{stitches} over {rows}, most {most}, {bound_off:?}, {every}, {last}"
                    );
                    assert_eq!(edge.is_possible(), best.is_some(), "{stitches} over {rows}, most {most}");
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 2000, "{compared}");
}
