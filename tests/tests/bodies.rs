//! Bodies: the survey as kept, children's tables, regressions and shoe scales against what was published.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::float_cmp, reason = "tests")]

use latchwork::design::person_from_text;
use latchwork::measure::{
    SURVEYED, Sex, barleycorn_adult, barleycorn_child, find_table, foot_of, mondopoint, paris_point, surveyed,
};
use latchwork::units::Mm;
use latchwork_tests::outside::close;

/// The survey as kept is the survey as published: every figure of `ansur2-summary.csv` (ANSUR II, public domain).
#[test]
fn percentiles_are_those_of_the_survey() {
    let columns = [
        ("stature", "stature"),
        ("hand-girth", "handcircumference"),
        ("hand-length", "handlength"),
        ("hand-breadth", "handbreadth"),
        ("palm-length", "palmlength"),
        ("wrist-girth", "wristcircumference"),
        ("forearm-girth", "forearmcircumferenceflexed"),
        ("arm-girth", "bicepscircumferenceflexed"),
        ("head-girth", "headcircumference"),
        ("neck-girth", "neckcircumference"),
        ("foot-length", "footlength"),
        ("foot-girth", "balloffootcircumference"),
        ("heel-girth", "heelanklecircumference"),
        ("ankle-girth", "anklecircumference"),
        ("calf-girth", "calfcircumference"),
        ("chest-girth", "chestcircumference"),
        ("waist-girth", "waistcircumference"),
        ("hip-girth", "buttockcircumference"),
        ("shoulder-width", "biacromialbreadth"),
        ("sleeve-length", "sleeveoutseam"),
        ("back-length", "waistbacklength"),
        ("centre-back-to-wrist", "sleevelengthspinewrist"),
    ];
    let csv = include_str!("../suite/world/ansur2-summary.csv");
    let mut checked = 0;
    for line in csv.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let Some((name, _)) = columns.iter().find(|c| c.1 == cells[0]) else { continue };
        let sex = if cells[2] == "F" { Sex::Woman } else { Sex::Man };
        let s = surveyed(name, sex).unwrap();
        let n = |i: usize| cells[i].parse::<f64>().unwrap();
        assert_eq!((f64::from(s.people), s.mean, s.deviation), (n(3), n(4), n(5)), "{name}");
        assert_eq!(s.quantiles, [n(11), n(6), n(7), n(8), n(9), n(10), n(12)], "{name}");
        for (k, share) in [0.05, 0.25, 0.5, 0.75, 0.95].into_iter().enumerate() {
            close(s.share_below(s.quantiles[k + 1]), share, 1e-5);
        }
        assert_eq!((s.share_below(s.quantiles[0]), s.share_below(s.quantiles[6])), (0.0, 1.0));
        // Between the percentiles it is a distribution: it grows, and from end to end it is everybody.
        let mut last = 0.0;
        for step in 0..=200 {
            let at = s.quantiles[0] + (s.quantiles[6] - s.quantiles[0]) * f64::from(step) / 200.0;
            let now = s.share_below(at);
            assert!(now >= last, "{name} at {at}");
            last = now;
        }
        checked += 1;
    }
    assert_eq!(checked, SURVEYED.len());
    // Real hands per nearest whole glove size, as counted in the raw survey: men 8 61.6 %, 9 36.7 %; women 7 67.9 %.
    let share = |sex, from: f64, to: f64| surveyed("hand-girth", sex).unwrap().share(from * 25.4, to * 25.4);
    assert!((share(Sex::Man, 7.5, 8.5) - 0.616).abs() < 0.02);
    assert!((share(Sex::Man, 8.5, 9.5) - 0.367).abs() < 0.02);
    assert!((share(Sex::Woman, 6.5, 7.5) - 0.679).abs() < 0.02);
}

/// Children's heads (WHO 2006) and feet (Snyder et al. 1977): means of the medians of girls and boys.
#[test]
fn childrens_tables_are_those_published() {
    let csv = include_str!("../suite/world/child-and-civilian-summary.csv");
    let median = |source: &str, dimension: &str, sex: &str, age: &str| {
        let line = csv.lines().find(|l| {
            let c: Vec<&str> = l.split(',').collect();
            c[0].starts_with(source) && c[1] == dimension && c[3] == sex && c[4] == age
        });
        line.unwrap().split(',').nth(7).unwrap().parse::<f64>().unwrap() * 10.0
    };
    for (table, source, dimension) in
        [("head-child", "WHO", "head_circumference"), ("foot-child", "Snyder", "foot_length")]
    {
        for (age, values) in find_table(table).unwrap().rows {
            let age = age.replace('-', " ");
            let mean = (median(source, dimension, "M", &age) + median(source, dimension, "F", &age)) / 2.0;
            assert!((values[0] - mean).abs() < 0.051, "{table} {age}: {} and {mean}", values[0]);
        }
    }
}

fn estimate(document: &str, measure: &str) -> (f64, f64) {
    let (person, notices) = person_from_text(document);
    let e = person.unwrap_or_else(|| panic!("{:?}", notices.0)).estimated(measure).unwrap();
    (e.value.0, e.deviation.0)
}

/// Regressions at the means of the survey give the means of the survey (ANSUR II; residuals as given there).
#[test]
fn regressions_pass_through_the_means() {
    for sex in Sex::BOTH {
        for (measure, from, off) in [
            ("hand-length", "hand-girth", 1.0),
            ("wrist-girth", "hand-girth", 0.5),
            ("hand-breadth", "hand-girth", 0.5),
            ("palm-length", "hand-length", 1.0),
            ("arm-girth", "chest-girth", 1.0),
            ("sleeve-length", "stature", 1.5),
            ("centre-back-to-wrist", "stature", 1.5),
            ("back-length", "stature", 1.5),
            ("foot-girth", "foot-length", 1.0),
            ("heel-girth", "foot-girth", 2.0),
            ("shoulder-width", "chest-girth", 0.1),
        ] {
            let given = surveyed(from, sex).unwrap().mean;
            let document = format!("person \"P\" {{ survey \"{}\"; {from} (mm){given}; }}", sex.words());
            let (value, deviation) = estimate(&document, measure);
            let mean = surveyed(measure, sex).unwrap().mean;
            assert!((value - mean).abs() <= off, "{measure} of {}: {value} and {mean}", sex.words());
            assert!(deviation > 0.0);
        }
    }
    // A child of 111 cm (5 years) has a foot of about 17.4 cm (Snyder et al. 1977).
    let (foot, _) = estimate("person \"P\" { survey \"children\"; stature (cm)111; }", "foot-length");
    assert!((foot - 174.0).abs() < 2.0);
    // Through another estimate the doubts of both are carried.
    let (_, direct) = estimate("person \"P\" { survey \"women\"; foot-girth (mm)228; }", "heel-girth");
    let (_, through) = estimate("person \"P\" { survey \"women\"; foot-length (mm)246; }", "heel-girth");
    assert!(through > direct);
    // A shoe gives its foot, and so what depends on it.
    let (foot, _) = estimate("person \"P\" { survey \"women\"; eu-shoe 39; }", "foot-length");
    close(foot, 245.0, 1e-9);
    let (ball, doubt) = estimate("person \"P\" { survey \"women\"; eu-shoe 39; }", "foot-girth");
    let (measured, less) = estimate("person \"P\" { survey \"women\"; foot-length (mm)245; }", "foot-girth");
    assert_eq!(ball, measured);
    assert!(doubt > less, "a shoe tells less than a tape");
    // Head girth must be asked for.
    let (p, _) = person_from_text("person \"P\" { survey \"men\"; stature (cm)176; chest-girth (cm)106; }");
    assert_eq!(p.unwrap().estimated("head-girth"), None);
}

/// A regression is bound to its survey: slope and residual belong to one correlation r, for a straight line through
/// people of deviations sx and sy has the slope r sy / sx and leaves sy times the root of 1 - r squared.
#[test]
fn regressions_belong_to_the_spread_of_their_survey() {
    for sex in Sex::BOTH {
        for (measure, from) in [
            ("hand-length", "hand-girth"),
            ("wrist-girth", "hand-girth"),
            ("arm-girth", "chest-girth"),
            ("sleeve-length", "stature"),
            ("centre-back-to-wrist", "stature"),
            ("back-length", "stature"),
            ("shoulder-width", "chest-girth"),
        ] {
            let (x, y) = (surveyed(from, sex).unwrap(), surveyed(measure, sex).unwrap());
            let of = |mm: f64| {
                estimate(&format!("person \"P\" {{ survey \"{}\"; {from} (mm){mm}; }}", sex.words()), measure)
            };
            let ((low, left), (high, _)) = (of(x.mean - x.deviation), of(x.mean + x.deviation));
            let r = (high - low) / 2.0 / y.deviation;
            assert!((0.0..0.95).contains(&r), "{measure} of {}: r {r:.3}", sex.words());
            let residual = y.deviation * (1.0 - r * r).sqrt();
            assert!((left / residual - 1.0).abs() < 0.08, "{measure} of {}: {left} and {residual:.2}", sex.words());
        }
    }
}

/// Shoe scales by formula: Paris points of 2/3 cm, barleycorns of 1/3 in, a last 15 mm longer than the foot.
#[test]
fn shoe_scales() {
    for (foot, eu, uk) in
        [(220.0, 35.25, 2.75), (240.0, 38.25, 5.12), (260.0, 41.25, 7.48), (280.0, 44.25, 9.84), (300.0, 47.25, 12.2)]
    {
        close(paris_point(Mm(foot)), eu, 1e-9);
        assert!((barleycorn_adult(Mm(foot)) - uk).abs() < 0.01, "{}", barleycorn_adult(Mm(foot)));
        close(foot_of(eu).0, foot, 1e-9);
    }
    // A child's 13 is an adult's 0; the sizes given to a quarter.
    close(barleycorn_child(Mm(200.0)) - barleycorn_adult(Mm(200.0)), 13.0, 1e-9);
    assert_eq!([mondopoint(Mm(242.0)), mondopoint(Mm(243.0))], [240.0, 245.0]);
}
