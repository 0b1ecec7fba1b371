//! How long a knitter takes over each act of the hands.

/// Seconds for each act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// One pass of the carriage.
    pub pass: f64,
    /// One transfer by hand.
    pub moved: f64,
    /// One needle brought forward by hand.
    pub forward: f64,
    /// One needle wrapped.
    pub wrap: f64,
    /// One stitch cast off.
    pub bind: f64,
    /// Weights or comb hung, moved up or removed.
    pub weights: f64,
    /// Setting up and casting on.
    pub set_up: f64,
    /// 10 cm of seam.
    pub seam: f64,
    /// Whether the knitter gave any of them.
    pub own: bool,
}

/// A reference to one of a pace's figures.
type Of = fn(&mut Pace) -> &mut f64;

impl Pace {
    /// A steady pace, with time to check counter and edges: common practice, no source. A plain sweater takes about a
    /// working day, two thirds of it at the machine.
    pub const USUAL: Pace = Pace {
        pass: 10.0,
        moved: 8.0,
        forward: 0.5,
        wrap: 5.0,
        bind: 8.0,
        weights: 45.0,
        set_up: 1200.0,
        seam: 300.0,
        own: false,
    };

    /// The words of documents.
    pub const WORDS: [(&str, Of); 8] = [
        ("pass", |p| &mut p.pass),
        ("move", |p| &mut p.moved),
        ("forward", |p| &mut p.forward),
        ("wrap", |p| &mut p.wrap),
        ("bind-off", |p| &mut p.bind),
        ("weights", |p| &mut p.weights),
        ("set-up", |p| &mut p.set_up),
        ("seam", |p| &mut p.seam),
    ];
}
