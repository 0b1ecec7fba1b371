//! Surfaces in space as pictures and as a shape for viewers.

use crate::form::{Form, Point, cross, dot, minus};
use crate::look::{Pixels, glb};

/// A surface: its points, its triangles, and the colour of each triangle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surface {
    /// Points, in millimetres, the third upwards.
    pub points: Vec<Point>,
    /// Corners.
    pub triangles: Vec<[u32; 3]>,
    /// Red, green, blue.
    pub colours: Vec<[u8; 3]>,
}

impl Surface {
    /// A form's skin in one colour.
    #[must_use]
    pub fn of(form: &Form, colour: [u8; 3]) -> Surface {
        let limbs = form.limbs.iter().map(|l| Form { rings: l.clone(), ..Form::default() });
        let all = limbs.map(|limb| Surface::of_rings(&limb, colour));
        all.fold(Surface::of_rings(form, colour), Surface::and)
    }

    /// The rings of a form, without its limbs.
    fn of_rings(form: &Form, colour: [u8; 3]) -> Surface {
        const AROUND: u32 = 48;
        const UP: u32 = 60;
        let mut s = Surface::default();
        let long = form.profile();
        for j in 0..=UP {
            for i in 0..AROUND {
                let angle = core::f64::consts::TAU * f64::from(i) / f64::from(AROUND);
                s.points.push(form.skin(long * f64::from(j) / f64::from(UP), angle));
            }
        }
        for j in 0..UP {
            for i in 0..AROUND {
                let at = |i: u32, j: u32| j * AROUND + i % AROUND;
                s.triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                s.triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
        }
        s.colours = vec![colour; s.triangles.len()];
        s
    }

    /// Both together.
    #[must_use]
    pub fn and(mut self, other: Surface) -> Surface {
        let first = self.points.len() as u32;
        self.points.extend(other.points);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|c| c + first)));
        self.colours.extend(other.colours);
        self
    }

    /// Seen from in front and a little above, turned this far about the upright axis; lit from above left.
    #[must_use]
    pub fn pixels(&self, turned: f64, across: usize) -> Pixels {
        const ABOVE: f64 = 0.28;
        let (s, c) = turned.sin_cos();
        let (t, u) = ABOVE.sin_cos();
        let seen: Vec<Point> = self
            .points
            .iter()
            .map(|p| {
                let (x, y) = (c * p[0] - s * p[1], s * p[0] + c * p[1]);
                // Across, up, and towards the eye.
                [x, u * p[2] + t * y, t * p[2] - u * y]
            })
            .collect();
        let ends = |d: usize| {
            seen.iter().map(|p| p[d]).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
        };
        let ((left, right), (bottom, top)) = (ends(0), ends(1));
        let scale = across as f64 / (right - left).max(1e-9);
        let down = (((top - bottom) * scale).ceil()).clamp(1.0, 8.0 * across as f64) as usize;
        let place = |p: &Point| [(p[0] - left) * scale, (top - p[1]) * scale, p[2]];
        // Corners face the mean way of their triangles, so that what is smooth looks smooth.
        let mut ways = vec![[0.0; 3]; seen.len()];
        for t in &self.triangles {
            let [a, b, c] = t.map(|k| seen[k as usize]);
            let n = cross(minus(b, a), minus(c, a));
            t.iter().for_each(|k| (0..3).for_each(|d| ways[*k as usize][d] += n[d]));
        }
        let mut nearest = vec![f64::NEG_INFINITY; across * down];
        let mut rgba = vec![0_u8; 4 * across * down];
        for (t, colour) in self.triangles.iter().zip(&self.colours) {
            let [a, b, c] = t.map(|k| place(&seen[k as usize]));
            let [na, nb, nc] = t.map(|k| ways[k as usize]);
            let whole = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            if whole.abs() < 1e-9 {
                continue;
            }
            let span = |d: usize, most: usize| {
                let (low, high) = (a[d].min(b[d]).min(c[d]), a[d].max(b[d]).max(c[d]));
                low.floor().clamp(0.0, most as f64) as usize..high.ceil().clamp(0.0, most as f64) as usize
            };
            for y in span(1, down) {
                for x in span(0, across) {
                    let (px, py) = (x as f64 + 0.5, y as f64 + 0.5);
                    let part = |p: Point, q: Point| ((q[0] - p[0]) * (py - p[1]) - (q[1] - p[1]) * (px - p[0])) / whole;
                    let (wc, wa, wb) = (part(a, b), part(b, c), part(c, a));
                    if wa < -1e-6 || wb < -1e-6 || wc < -1e-6 {
                        continue;
                    }
                    let z = wa * a[2] + wb * b[2] + wc * c[2];
                    let at = y * across + x;
                    if z > nearest[at] {
                        nearest[at] = z;
                        let n = [0, 1, 2].map(|d| wa * na[d] + wb * nb[d] + wc * nc[d]);
                        let long = dot(n, n).sqrt().max(1e-12);
                        // Either face may be seen.
                        let n = n.map(|v| v / long * n[2].signum());
                        let light = (-0.42 * n[0] + 0.52 * n[1] + 0.74 * n[2]).max(0.0);
                        let lit = 0.46 + 0.58 * light;
                        let shade = colour.map(|v| (f64::from(v) * lit).min(255.0) as u8);
                        rgba[4 * at..4 * at + 4].copy_from_slice(&[shade[0], shade[1], shade[2], 255]);
                    }
                }
            }
        }
        Pixels { width: across, height: down, rgba }
    }

    /// A binary glTF 2.0 file: every triangle with its own corners, so that each has its own colour.
    #[must_use]
    pub fn gltf(&self) -> Vec<u8> {
        let mut data = Vec::new();
        // There the second axis points upwards.
        let corners = self.triangles.iter().flatten().map(|c| self.points[*c as usize]);
        let corners: Vec<[f32; 3]> = corners.map(|p| [p[0] as f32, p[2] as f32, -p[1] as f32]).collect();
        data.extend(corners.iter().flatten().flat_map(|v| v.to_le_bytes()));
        let colours = data.len();
        for colour in &self.colours {
            let linear = colour.map(|c| (f64::from(c) / 255.0).powf(2.2) as f32);
            (0..3).for_each(|_| data.extend(linear.iter().flat_map(|v| v.to_le_bytes())));
        }
        let bounds = |pick: fn(f32, f32) -> f32, from: f32| {
            let most = corners.iter().fold([from; 3], |m, p| [0, 1, 2].map(|c| pick(m[c], p[c])));
            format!("[{},{},{}]", most[0], most[1], most[2])
        };
        let (n, low, high) = (corners.len(), bounds(f32::min, f32::MAX), bounds(f32::max, f32::MIN));
        let json = format!(
            "{{\"asset\":{{\"version\":\"2.0\",\"generator\":\"Latchwork\"}},\"scene\":0,\"scenes\":[{{\"nodes\":[0]}}],\"nodes\":[{{\"mesh\":0}}],\
             \"meshes\":[{{\"primitives\":[{{\"attributes\":{{\"POSITION\":0,\"COLOR_0\":1}},\"material\":0}}]}}],\
             \"materials\":[{{\"doubleSided\":true,\"pbrMetallicRoughness\":{{\"metallicFactor\":0,\"roughnessFactor\":0.9}}}}],\
             \"accessors\":[{{\"bufferView\":0,\"componentType\":5126,\"count\":{n},\"type\":\"VEC3\",\"min\":{low},\"max\":{high}}},\
             {{\"bufferView\":1,\"componentType\":5126,\"count\":{n},\"type\":\"VEC3\"}}],\
             \"bufferViews\":[{{\"buffer\":0,\"byteOffset\":0,\"byteLength\":{colours},\"target\":34962}},\
             {{\"buffer\":0,\"byteOffset\":{colours},\"byteLength\":{},\"target\":34962}}],\"buffers\":[{{\"byteLength\":{}}}]}}",
            data.len() - colours,
            data.len()
        );
        glb(json, data)
    }
}
