//! The outcome for a repeat as bytes and back, so that it can be kept and need not be worked out again.

use crate::crossings::Threads;
use crate::relax::{NoRest, Rested};

/// The bytes of a repeat's outcome.
#[must_use]
pub fn to_bytes(found: &Result<Rested, NoRest>) -> Vec<u8> {
    let mut out = Vec::new();
    let mut put = |v: &[f64]| out.extend(v.iter().flat_map(|v| v.to_le_bytes()));
    match found {
        Ok(r) => {
            put(&[0.0, f64::from(r.needles), f64::from(r.passes), f64::from(r.steps)]);
            put(&[r.wale, r.course, r.thick, r.residual, r.strain, r.bending, r.stretching, r.energy]);
            put(&[r.wales.0, r.wales.1, r.courses.0, r.courses.1, r.threads.width, r.threads.height]);
            put(&[r.threads.points.len() as f64]);
            for points in &r.threads.points {
                put(&[points.len() as f64]);
                put(points.as_flattened());
            }
            put(&[r.touches.len() as f64]);
            for (at, deep, (a, b)) in &r.touches {
                put(at);
                put(&[*deep, *a as f64, *b as f64]);
            }
        }
        Err(NoRest::OtherCrossings { found, demanded }) => {
            put(&[1.0, *found as f64, *demanded as f64]);
        }
        Err(NoRest::Changed) => put(&[2.0]),
        Err(NoRest::TooTight { strain }) => {
            put(&[3.0, *strain]);
        }
        Err(NoRest::Squeezed { share }) => {
            put(&[4.0, *share]);
        }
        Err(NoRest::Lost) => put(&[5.0]),
    }
    out
}

/// The outcome that these bytes hold; none if they hold none.
#[must_use]
pub fn from_bytes(bytes: &[u8]) -> Option<Result<Rested, NoRest>> {
    let mut reader = Reader { left: bytes };
    let found = match reader.count()? {
        0 => Ok(reader.rested()?),
        1 => Err(NoRest::OtherCrossings { found: reader.count()?, demanded: reader.count()? }),
        2 => Err(NoRest::Changed),
        3 => Err(NoRest::TooTight { strain: reader.number()? }),
        4 => Err(NoRest::Squeezed { share: reader.number()? }),
        5 => Err(NoRest::Lost),
        _ => return None,
    };
    reader.left.is_empty().then_some(found)
}

struct Reader<'a> {
    left: &'a [u8],
}

impl Reader<'_> {
    fn number(&mut self) -> Option<f64> {
        let (first, rest) = self.left.split_first_chunk::<8>()?;
        self.left = rest;
        Some(f64::from_le_bytes(*first)).filter(|v| v.is_finite())
    }

    /// A whole number below a thousand million.
    fn count(&mut self) -> Option<usize> {
        let v = self.number()?;
        (v.fract() == 0.0 && (0.0..1e9).contains(&v)).then_some(v as usize)
    }

    fn whole(&mut self) -> Option<u32> {
        u32::try_from(self.count()?).ok()
    }

    fn spot(&mut self) -> Option<[f64; 3]> {
        Some([self.number()?, self.number()?, self.number()?])
    }

    /// A counted list of things that take this many numbers each, no more than the bytes left can hold.
    fn list<T>(&mut self, numbers: usize, mut one: impl FnMut(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let count = self.count()?;
        if count > self.left.len() / (8 * numbers) {
            return None;
        }
        (0..count).map(|_| one(self)).collect()
    }

    fn rested(&mut self) -> Option<Rested> {
        let (needles, passes, steps) = (self.whole()?, self.whole()?, self.whole()?);
        let (wale, course, thick) = (self.number()?, self.number()?, self.number()?);
        let (residual, strain, bending) = (self.number()?, self.number()?, self.number()?);
        let (stretching, energy) = (self.number()?, self.number()?);
        let (wales, courses) = ((self.number()?, self.number()?), (self.number()?, self.number()?));
        let (width, height) = (self.number()?, self.number()?);
        let points = self.list(1, |r| r.list(3, Reader::spot))?;
        let touches = self.list(6, |r| Some((r.spot()?, r.number()?, (r.count()?, r.count()?))))?;
        let threads = Threads { width, height, points };
        Some(Rested {
            threads,
            needles,
            passes,
            wale,
            course,
            thick,
            touches,
            residual,
            strain,
            bending,
            stretching,
            energy,
            steps,
            wales,
            courses,
        })
    }
}
