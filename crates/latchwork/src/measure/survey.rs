//! Surveyed bodies: percentiles, and the share of people between two measures.
//!
//! ANSUR II, US Army 2012 (Gordon et al. 2014, NATICK/TR-15/007, public domain): 4,082 men, 1,986 women, adult
//! soldiers, fitter and with fewer very large and very old bodies than civilians.

use super::person::Sex;

/// One measure of one sex, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surveyed {
    /// The measure, by its name in designs.
    pub measure: &'static str,
    /// The sex surveyed.
    pub sex: Sex,
    /// The number of people.
    pub people: u32,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// Least, 5th, 25th, 50th, 75th and 95th percentile, most.
    pub quantiles: [f64; 7],
}

const fn of(measure: &'static str, sex: Sex, people: u32, mean: f64, deviation: f64, quantiles: [f64; 7]) -> Surveyed {
    Surveyed { measure, sex, people, mean, deviation, quantiles }
}

/// The surveyed measures. `arm-girth` and `forearm-girth` are of the flexed arm, `waist-girth` is at the navel,
/// `heel-girth` goes diagonally round heel and instep.
pub const SURVEYED: [Surveyed; 44] = [
    of("stature", Sex::Woman, 1986, 1628.5, 64.2, [1409.0, 1525.0, 1586.2, 1626.0, 1672.0, 1740.0, 1829.0]),
    of("stature", Sex::Man, 4082, 1756.2, 68.6, [1491.0, 1648.0, 1710.0, 1755.0, 1802.0, 1870.0, 1993.0]),
    of("hand-girth", Sex::Woman, 1986, 186.6, 8.8, [152.0, 173.0, 180.0, 187.0, 192.0, 202.0, 214.0]),
    of("hand-girth", Sex::Man, 4082, 212.3, 10.2, [179.0, 195.0, 206.0, 212.0, 219.0, 230.0, 248.0]),
    of("hand-length", Sex::Woman, 1986, 181.1, 10.1, [145.0, 165.0, 174.0, 180.0, 187.0, 199.0, 220.0]),
    of("hand-length", Sex::Man, 4082, 193.3, 9.9, [164.0, 177.0, 187.0, 193.0, 200.0, 210.0, 239.0]),
    of("hand-breadth", Sex::Woman, 1986, 78.2, 3.8, [67.0, 72.0, 75.0, 78.0, 80.0, 85.0, 92.0]),
    of("hand-breadth", Sex::Man, 4082, 88.3, 4.4, [74.0, 81.0, 85.0, 88.0, 91.0, 96.0, 105.0]),
    of("palm-length", Sex::Woman, 1986, 108.7, 5.9, [88.0, 100.0, 105.0, 108.0, 113.0, 119.0, 130.0]),
    of("palm-length", Sex::Man, 4082, 116.5, 6.2, [95.0, 107.0, 112.0, 116.0, 120.0, 127.0, 140.0]),
    of("wrist-girth", Sex::Woman, 1986, 154.8, 7.8, [124.0, 142.2, 150.0, 154.0, 160.0, 168.0, 183.0]),
    of("wrist-girth", Sex::Man, 4082, 175.9, 9.0, [141.0, 162.0, 170.0, 176.0, 182.0, 191.0, 216.0]),
    of("forearm-girth", Sex::Woman, 1986, 264.1, 18.5, [200.0, 235.0, 251.0, 263.0, 276.0, 296.0, 342.0]),
    of("forearm-girth", Sex::Man, 4082, 310.1, 22.0, [233.0, 275.0, 295.0, 310.0, 324.0, 347.9, 402.0]),
    of("arm-girth", Sex::Woman, 1986, 305.6, 30.8, [216.0, 259.0, 285.0, 304.0, 324.0, 360.0, 435.0]),
    of("arm-girth", Sex::Man, 4082, 358.1, 34.6, [246.0, 303.0, 335.0, 357.0, 380.0, 418.0, 490.0]),
    of("head-girth", Sex::Woman, 1986, 561.1, 19.4, [500.0, 532.0, 548.0, 560.0, 573.0, 597.0, 635.0]),
    of("head-girth", Sex::Man, 4082, 574.4, 16.0, [516.0, 548.0, 563.0, 574.0, 585.0, 601.0, 633.0]),
    of("neck-girth", Sex::Woman, 1986, 329.8, 19.2, [275.0, 302.0, 316.0, 328.0, 342.0, 363.0, 424.0]),
    of("neck-girth", Sex::Man, 4082, 397.6, 25.8, [311.0, 360.0, 379.2, 395.0, 413.8, 443.0, 514.0]),
    of("foot-length", Sex::Woman, 1986, 246.3, 12.4, [198.0, 226.0, 238.0, 246.0, 254.0, 267.8, 286.0]),
    of("foot-length", Sex::Man, 4082, 271.2, 13.1, [216.0, 250.0, 263.0, 271.0, 280.0, 293.0, 323.0]),
    of("foot-girth", Sex::Woman, 1986, 228.1, 11.8, [194.0, 209.0, 220.0, 227.0, 236.0, 248.0, 270.0]),
    of("foot-girth", Sex::Man, 4082, 252.0, 12.9, [186.0, 232.0, 243.0, 252.0, 261.0, 273.0, 306.0]),
    of("heel-girth", Sex::Woman, 1986, 310.3, 15.3, [264.0, 287.0, 300.0, 310.0, 320.0, 337.0, 376.0]),
    of("heel-girth", Sex::Man, 4082, 343.5, 16.6, [258.0, 317.0, 333.0, 343.0, 354.0, 372.0, 403.0]),
    of("ankle-girth", Sex::Woman, 1986, 215.7, 14.9, [170.0, 193.0, 205.0, 215.0, 225.0, 242.0, 275.0]),
    of("ankle-girth", Sex::Man, 4082, 229.3, 14.6, [156.0, 206.0, 219.2, 228.0, 239.0, 254.0, 293.0]),
    of("calf-girth", Sex::Woman, 1986, 373.3, 28.5, [282.0, 328.0, 354.0, 372.0, 391.8, 423.0, 482.0]),
    of("calf-girth", Sex::Man, 4082, 392.3, 29.7, [266.0, 346.0, 372.0, 392.0, 412.0, 443.0, 523.0]),
    of("chest-girth", Sex::Woman, 1986, 946.9, 82.7, [695.0, 824.2, 889.0, 940.0, 999.0, 1094.0, 1266.0]),
    of("chest-girth", Sex::Man, 4082, 1058.7, 87.4, [774.0, 922.0, 996.0, 1056.0, 1117.0, 1207.0, 1469.0]),
    of("waist-girth", Sex::Woman, 1986, 860.9, 99.9, [611.0, 710.0, 790.0, 852.0, 925.0, 1040.0, 1334.0]),
    of("waist-girth", Sex::Man, 4082, 940.6, 111.7, [648.0, 768.0, 857.0, 937.0, 1016.0, 1130.9, 1379.0]),
    of("hip-girth", Sex::Woman, 1986, 1021.2, 75.9, [798.0, 901.2, 969.0, 1018.5, 1069.0, 1155.8, 1341.0]),
    of("hip-girth", Sex::Man, 4082, 1019.5, 76.7, [737.0, 899.0, 967.0, 1017.0, 1068.0, 1149.0, 1305.0]),
    of("shoulder-width", Sex::Woman, 1986, 365.3, 18.3, [283.0, 335.0, 353.0, 365.0, 378.0, 396.0, 422.0]),
    of("shoulder-width", Sex::Man, 4082, 415.7, 19.2, [337.0, 384.0, 403.0, 415.0, 428.0, 447.0, 489.0]),
    of("sleeve-length", Sex::Woman, 1986, 543.6, 29.4, [410.0, 497.0, 525.0, 542.0, 563.0, 594.0, 662.0]),
    of("sleeve-length", Sex::Man, 4082, 593.1, 30.8, [488.0, 545.0, 572.0, 592.0, 612.0, 645.0, 709.0]),
    of("back-length", Sex::Woman, 1986, 425.4, 26.4, [345.0, 384.0, 407.0, 424.5, 442.0, 470.0, 532.0]),
    of("back-length", Sex::Man, 4082, 477.6, 27.7, [383.0, 433.0, 459.2, 477.0, 495.0, 524.0, 598.0]),
    of("centre-back-to-wrist", Sex::Woman, 1986, 806.7, 37.9, [636.0, 746.0, 782.0, 805.0, 830.0, 870.0, 930.0]),
    of("centre-back-to-wrist", Sex::Man, 4082, 895.8, 40.2, [732.0, 831.0, 868.0, 895.0, 922.0, 963.0, 1058.0]),
];

/// The survey of a measure.
#[must_use]
pub fn surveyed(measure: &str, sex: Sex) -> Option<&'static Surveyed> {
    SURVEYED.iter().find(|s| s.measure == measure && s.sex == sex)
}

/// Standard normal scores of the 5th, 25th, 50th, 75th and 95th percentile.
const SCORES: [f64; 5] = [-1.644_853_627, -0.674_489_750, 0.0, 0.674_489_750, 1.644_853_627];

impl Surveyed {
    /// The share of people whose measure is at most this: normal scores between the percentiles, extended beyond the outer
    /// ones with the survey's standard deviation, and nobody outside the least and the most.
    #[must_use]
    pub fn share_below(&self, millimetres: f64) -> f64 {
        let [least, inner @ .., most] = &self.quantiles;
        if millimetres <= *least {
            return 0.0;
        }
        if millimetres >= *most {
            return 1.0;
        }
        let score = if millimetres < inner[0] {
            SCORES[0] + (millimetres - inner[0]) / self.deviation
        } else if millimetres >= inner[4] {
            SCORES[4] + (millimetres - inner[4]) / self.deviation
        } else {
            let i = inner.windows(2).position(|w| millimetres < w[1]).unwrap_or(3);
            SCORES[i] + (SCORES[i + 1] - SCORES[i]) * (millimetres - inner[i]) / (inner[i + 1] - inner[i])
        };
        normal(score)
    }

    /// The share of people between two measures.
    #[must_use]
    pub fn share(&self, from: f64, to: f64) -> f64 {
        (self.share_below(to) - self.share_below(from)).max(0.0)
    }
}

/// The standard normal distribution function, to 1e-7 (Abramowitz and Stegun 1964, 26.2.17).
#[must_use]
pub(super) fn normal(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let series =
        t * (0.319_381_530 + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt() * series;
    if z >= 0.0 { 1.0 - tail } else { tail }
}
