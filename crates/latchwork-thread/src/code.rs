//! The planar-diagram code: edges numbered along each component, four to a crossing.

use crate::path::Diagram;

/// A planar-diagram code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// For each crossing, in the diagram's order: the edge by which the lower strand comes in, then the others
    /// anticlockwise.
    pub crossings: Vec<[u32; 4]>,
    /// Closed components.
    pub components: usize,
    /// Of these, components without any crossing.
    pub bare: usize,
}

/// Writes the code of a diagram; edges are numbered from 1, along one component after the other.
#[must_use]
pub fn code(diagram: &Diagram) -> Code {
    let n = diagram.crossings.len();
    // Each edge has two ends: a crossing and which of its four places.
    let mut ends: Vec<Vec<(usize, usize)>> = vec![Vec::new(); diagram.weave.arcs()];
    for (i, c) in diagram.crossings.iter().enumerate() {
        for (place, arc) in c.arcs.iter().enumerate() {
            ends[diagram.weave.root(*arc) as usize].push((i, place));
        }
    }
    let mut numbers = vec![[0_u32; 4]; n];
    // The place by which the lower strand comes in.
    let mut comes_in = vec![0_usize; n];
    let mut next = 1;
    let mut components = 0;
    for begin in 0..n {
        for place in 0..2 {
            if numbers[begin][place] != 0 {
                continue;
            }
            components += 1;
            let (mut at, mut into) = (begin, place);
            loop {
                // The edge ends here, at `into`; the strand goes on at the opposite place.
                let c = &diagram.crossings[at];
                let under = if c.rising_is_under { 0 } else { 1 };
                if into % 2 == under {
                    comes_in[at] = into;
                }
                let out = (into + 2) % 4;
                numbers[at][out] = next;
                let edge = &ends[diagram.weave.root(c.arcs[out]) as usize];
                let there = edge.iter().find(|e| **e != (at, out)).copied().unwrap_or((at, out));
                numbers[there.0][there.1] = next;
                next += 1;
                (at, into) = there;
                if (at, into) == (begin, place) {
                    break;
                }
            }
        }
    }
    let crossings = (0..n)
        .map(|i| {
            let from = comes_in[i];
            std::array::from_fn(|k| numbers[i][(from + k) % 4])
        })
        .collect();
    let used = components;
    Code { crossings, components: used + diagram.bare(), bare: diagram.bare() }
}
