//! What threads look like: softly lit pixels of the nearest yarn; shapes for drawings; a mesh for viewers.

use crate::crossings::Threads;

/// From which side the cloth is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// From where the knitter sits: the side of the ribber, the back of plain.
    Near,
    /// From behind: plain's smooth side.
    Far,
}

/// One yarn as it lies: its points in millimetres or diameters, its thickness and its colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Strand {
    /// Points.
    pub points: Vec<[f64; 3]>,
    /// Half its thickness.
    pub radius: f64,
    /// Red, green, blue.
    pub colour: [u8; 3],
}

/// The part of the cloth that is seen: left, bottom, width and height.
pub type Window = [f64; 4];

/// A picture in pixels: red, green, blue, and how much of it is cloth, for each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Across.
    pub width: usize,
    /// Down.
    pub height: usize,
    /// Four numbers for each pixel, row by row from the top; the last is 255 where yarn is seen and 0 where none is.
    pub rgba: Vec<u8>,
}

impl Pixels {
    /// The same picture, every four pixels made one: finer than one drawn at that size.
    #[must_use]
    pub fn halved(&self) -> Pixels {
        let (width, height) = (self.width / 2, self.height / 2);
        let mut rgba = Vec::with_capacity(4 * width * height);
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0_u32; 4];
                for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                    let at = 4 * ((2 * y + dy) * self.width + 2 * x + dx);
                    let a = u32::from(self.rgba[at + 3]);
                    (0..3).for_each(|c| sum[c] += a * u32::from(self.rgba[at + c]));
                    sum[3] += a;
                }
                let [r, g, b] = [0, 1, 2].map(|c| (sum[c] / sum[3].max(1)) as u8);
                rgba.extend([r, g, b, (sum[3] / 4) as u8]);
            }
        }
        Pixels { width, height, rgba }
    }
}

/// This many repeats side by side and one above the other, each thread drawn through all repeats across, with a margin
/// of one repeat on every side so that a window within is full.
#[must_use]
pub fn tiled(threads: &Threads, colours: &[[u8; 3]], (across, up): (u32, u32), radius: f64) -> Vec<Strand> {
    let mut all = Vec::new();
    for j in -1..=i64::from(up) {
        for (points, colour) in threads.points.iter().zip(colours) {
            let mut line = Vec::with_capacity(points.len() * (across as usize + 2));
            for i in -1..=i64::from(across) {
                let (dx, dy) = (i as f64 * threads.width, j as f64 * threads.height);
                line.extend(points.iter().map(|p| [p[0] + dx, p[1] + dy, p[2]]));
            }
            all.push(Strand { points: line, radius, colour: *colour });
        }
    }
    all
}

/// A smooth line through points: Catmull-Rom, cut so that no piece is longer than `longest`.
#[must_use]
pub fn smooth(points: &[[f64; 3]], longest: f64) -> Vec<[f64; 3]> {
    smooth_from(points, longest).into_iter().map(|p| p.0).collect()
}

/// The same, with the number of the point that each comes after.
#[must_use]
pub fn smooth_from(points: &[[f64; 3]], longest: f64) -> Vec<([f64; 3], usize)> {
    let n = points.len();
    if n < 3 {
        return points.iter().copied().zip(0..).collect();
    }
    let mut out = vec![(points[0], 0)];
    for i in 0..n - 1 {
        let at = |k: isize| points[k.clamp(0, n as isize - 1) as usize];
        let i = i as isize;
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        let length = [0, 1, 2].map(|m| (c[m] - b[m]) * (c[m] - b[m])).iter().sum::<f64>().sqrt();
        let pieces = (length / longest).ceil().clamp(1.0, 16.0) as u32;
        for k in 1..=pieces {
            let t = f64::from(k) / f64::from(pieces);
            let (t2, t3) = (t * t, t * t * t);
            let at = [0, 1, 2].map(|m| {
                0.5 * (2.0 * b[m]
                    + (c[m] - a[m]) * t
                    + (2.0 * a[m] - 5.0 * b[m] + 4.0 * c[m] - d[m]) * t2
                    + (3.0 * b[m] - a[m] - 3.0 * c[m] + d[m]) * t3)
            });
            out.push((at, i as usize));
        }
    }
    out
}

/// Where light comes from: above, from the left, in front.
const LIGHT: [f32; 3] = [-0.42, 0.52, 0.74];

/// The yarn that a pixel shows: how far off the yarn's middle, how far to its side, how far along it, and whose it is.
#[derive(Debug, Clone, Copy, Default)]
struct Seen {
    off: [f32; 2],
    side: f32,
    along: f32,
    strand: u32,
}

/// Draws strands: each pixel shows the nearest yarn, lit from above left and darker the deeper it lies. `plies` twists
/// that many threads round one another; one is plain yarn.
#[must_use]
pub fn pixels(strands: &[Strand], window: Window, face: Face, across: usize, plies: u32) -> Pixels {
    let [left, bottom, width, height] = window;
    let scale = across as f64 / width;
    let down = (height * scale).round().max(1.0) as usize;
    let mut nearest = vec![f32::NEG_INFINITY; across * down];
    let mut seen = vec![Seen::default(); across * down];
    let depth = |z: f64| if face == Face::Near { z } else { -z };
    let place = |p: &[f64; 3]| {
        let x = (p[0] - left) * scale;
        // Seen from behind, left and right change places.
        let x = if face == Face::Near { x } else { across as f64 - x };
        [x, down as f64 - (p[1] - bottom) * scale, depth(p[2]) * scale].map(|v| v as f32)
    };
    let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
    for (number, strand) in strands.iter().enumerate() {
        let r = thickness(strand, scale);
        let mut along = 0.0;
        let mut next = strand.points.first().map_or([0.0; 3], place);
        for point in strand.points.iter().skip(1) {
            let (a, b) = (next, place(point));
            next = b;
            let (dx, dy, dz) = (b[0] - a[0], b[1] - a[1], b[2] - a[2]);
            let flat = (dx * dx + dy * dy).max(1e-12);
            let (length, inverse) = ((flat + dz * dz).sqrt(), 1.0 / flat);
            let aside = inverse.sqrt() / r;
            let (x0, x1) = ((a[0].min(b[0]) - r).max(0.0) as usize, (a[0].max(b[0]) + r + 1.0).min(across as f32));
            let (y0, y1) = ((a[1].min(b[1]) - r).max(0.0) as usize, (a[1].max(b[1]) + r + 1.0).min(down as f32));
            // Nothing of this length of yarn lies nearer.
            let front = a[2].max(b[2]) + r;
            for y in y0..y1.max(0.0) as usize {
                for x in x0..x1.max(0.0) as usize {
                    let at = y * across + x;
                    if front <= nearest[at] {
                        continue;
                    }
                    let (px, py) = (x as f32 + 0.5 - a[0], y as f32 + 0.5 - a[1]);
                    let t = ((px * dx + py * dy) * inverse).clamp(0.0, 1.0);
                    let (ox, oy) = (px - t * dx, py - t * dy);
                    let off = ox * ox + oy * oy;
                    if off > r * r {
                        continue;
                    }
                    let z = a[2] + t * dz + (r * r - off).sqrt();
                    if z <= nearest[at] {
                        continue;
                    }
                    nearest[at] = z;
                    let (side, along) = ((oy * dx - ox * dy) * aside, along + t * length);
                    seen[at] = Seen { off: [ox, oy], side, along, strand: number as u32 };
                }
            }
            along += length;
        }
        let heights = strand.points.iter().map(|p| depth(p[2]));
        (lowest, highest) = heights.fold((lowest, highest), |(l, h), z| (l.min(z), h.max(z)));
    }
    // Each pixel is lit once, when what it shows is known.
    let (deep, lowest) = (((highest - lowest) * scale).max(1e-9) as f32, (lowest * scale) as f32);
    let mut rgba = Vec::with_capacity(4 * across * down);
    for (z, s) in nearest.iter().zip(&seen) {
        let Some(strand) = strands.get(s.strand as usize).filter(|_| *z > f32::NEG_INFINITY) else {
            rgba.extend([0; 4]);
            continue;
        };
        let depth = 0.58 + 0.42 * ((*z - lowest) / deep).clamp(0.0, 1.0);
        let lit = depth * light(s, thickness(strand, scale), plies as f32);
        let [r, g, b] = strand.colour.map(|c| (f32::from(c) * lit).min(255.0) as u8);
        rgba.extend([r, g, b, 255]);
    }
    Pixels { width: across, height: down, rgba }
}

/// Half the thickness of a strand as drawn, in pixels.
fn thickness(strand: &Strand, scale: f64) -> f32 {
    (strand.radius * scale).max(0.35) as f32
}

/// How much light a place on a yarn of this thickness sends out.
fn light(s: &Seen, r: f32, plies: f32) -> f32 {
    let [ox, oy] = s.off;
    let rise = (r * r - ox * ox - oy * oy).max(0.0).sqrt();
    let light = ((ox * LIGHT[0] - oy * LIGHT[1] + rise * LIGHT[2]) / r).max(0.0);
    let mut lit = 0.62 + 0.62 * light;
    if plies > 1.0 {
        // How far round the yarn this is, and how far along: one turn of the twist in three and a half diameters (common
        // practice, no source).
        let turn = core::f32::consts::TAU / (7.0 * r);
        let phase = 0.5 * plies * (s.side.clamp(-1.0, 1.0).asin() + turn * s.along);
        lit *= 0.84 + 0.2 * phase.sin().abs().sqrt();
    }
    // Towards its edge a round thread hides light from what lies below.
    lit * (0.66 + 0.34 * (rise / r).sqrt())
}

/// How much of a repeat is covered by yarn, as a share.
#[must_use]
pub fn cover(threads: &Threads) -> f64 {
    let strands: Vec<Strand> = tiled(threads, &vec![[0; 3]; threads.points.len()], (1, 1), 0.5);
    let seen = pixels(&strands, [0.0, 0.0, threads.width, threads.height], Face::Near, 240, 1);
    let bare = seen.rgba.chunks_exact(4).filter(|c| c[3] == 0).count();
    1.0 - bare as f64 / (seen.width * seen.height) as f64
}

/// A drawing as SVG: strokes from the farthest to the nearest, each with a dark edge. For few loops.
#[must_use]
pub fn svg(strands: &[Strand], window: Window, face: Face, title: &str) -> String {
    let [left, bottom, width, height] = window;
    let depth = |z: f64| if face == Face::Near { z } else { -z };
    let mut pieces: Vec<(f64, String, f64, [u8; 3])> = Vec::new();
    for s in strands {
        let points: Vec<[f64; 3]> = s
            .points
            .iter()
            .map(|p| {
                let x = p[0] - left;
                let x = if face == Face::Near { x } else { width - x };
                [x, height - (p[1] - bottom), depth(p[2])]
            })
            .collect();
        for part in points.windows(3).step_by(2) {
            let seen = |p: &[f64; 3]| {
                p[0] > -s.radius && p[0] < width + s.radius && p[1] > -s.radius && p[1] < height + s.radius
            };
            if part.iter().any(seen) {
                let path = part.iter().map(|p| format!("{:.2},{:.2}", p[0], p[1])).collect::<Vec<_>>().join(" ");
                pieces.push((part[1][2], path, s.radius, s.colour));
            }
        }
    }
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (low, high) = (pieces.first().map_or(0.0, |p| p.0), pieces.last().map_or(1.0, |p| p.0));
    let title = title.replace('&', "&amp;").replace('<', "&lt;");
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.2} {height:.2}\" role=\"img\"><title>{title}</title>\
         <g fill=\"none\" stroke-linejoin=\"round\">\n"
    );
    for (z, path, r, colour) in &pieces {
        let light = 0.66 + 0.34 * (z - low) / (high - low).max(1e-9);
        let hex = |by: f64| {
            let [r, g, b] = colour.map(|c| (f64::from(c) * by).min(255.0) as u8);
            format!("#{r:02x}{g:02x}{b:02x}")
        };
        out += &format!(
            "<polyline points=\"{path}\" stroke=\"{}\" stroke-width=\"{:.2}\"/><polyline points=\"{path}\" stroke=\"{}\" stroke-width=\"{:.2}\" stroke-linecap=\"round\"/>\n",
            hex(0.45 * light),
            2.0 * r,
            hex(light),
            1.6 * r
        );
    }
    out + "</g></svg>\n"
}

/// A sheet at rest as SVG, as it lies before the knitter, newest row at the top: lighter where it is squeezed together
/// across, darker where it is drawn out, fully dark at `limit` of each triangle. There are no outlines.
#[must_use]
pub fn sheet_svg(sheet: &crate::sheet::Sheet, limit: impl Fn(usize) -> f64, title: &str) -> String {
    let ends = |c: usize| {
        let all = sheet.points.iter().map(|p| p[c]);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
    };
    let ((x0, x1), (y0, y1)) = (ends(0), ends(1));
    let title = title.replace('&', "&amp;").replace('<', "&lt;");
    let (w, h) = (x1 - x0 + 10.0, y1 - y0 + 10.0);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w:.1} {h:.1}\" width=\"{w:.0}mm\" height=\"{h:.0}mm\" role=\"img\"><title>{title}</title>\n"
    );
    for (i, t) in sheet.triangles.iter().enumerate() {
        let drawn = (t.strain(&sheet.points)[0] / limit(i).max(1e-9)).clamp(-1.0, 1.0);
        // Between the pale and the deep grey that the program draws cloth in.
        let mix = |pale: f64, deep: f64| (pale + (deep - pale) * (0.5 + 0.5 * drawn)).round() as u8;
        let (r, g, b) = (mix(226.0, 62.0), mix(229.0, 72.0), mix(230.0, 77.0));
        let points = t.corners.map(|c| {
            let p = sheet.points[c as usize];
            format!("{:.2},{:.2}", p[0] - x0 + 5.0, y1 - p[1] + 5.0)
        });
        out += &format!(
            "<polygon points=\"{}\" fill=\"#{r:02x}{g:02x}{b:02x}\" stroke=\"#{r:02x}{g:02x}{b:02x}\" stroke-width=\"0.2\"/>\n",
            points.join(" ")
        );
    }
    out + "</svg>\n"
}

/// Corners round a tube.
const ROUND: usize = 8;

/// The strands as tubes in a binary glTF 2.0 file (Khronos Group: one buffer, one mesh for each strand).
#[must_use]
pub fn gltf(strands: &[Strand]) -> Vec<u8> {
    let mut data: Vec<u8> = Vec::new();
    let (mut views, mut accessors, mut meshes, mut nodes, mut materials) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (k, s) in strands.iter().filter(|s| s.points.len() > 1).enumerate() {
        let (positions, normals) = tube(s);
        let mut indices: Vec<u32> = Vec::new();
        for i in 0..s.points.len() - 1 {
            for j in 0..ROUND {
                let at = |i: usize, j: usize| (i * ROUND + j % ROUND) as u32;
                let quad = [at(i, j), at(i, j + 1), at(i + 1, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1)];
                indices.extend(quad);
            }
        }
        let bounds = |pick: fn(f32, f32) -> f32, from: f32| {
            let most = positions.iter().fold([from; 3], |m, p| [0, 1, 2].map(|c| pick(m[c], p[c])));
            format!("[{},{},{}]", most[0], most[1], most[2])
        };
        let (low, high) = (bounds(f32::min, f32::MAX), bounds(f32::max, f32::MIN));
        for (list, more) in [(&positions, format!(",\"min\":{low},\"max\":{high}")), (&normals, String::new())] {
            let start = data.len();
            data.extend(list.iter().flatten().flat_map(|v| v.to_le_bytes()));
            accessors.push(format!(
                "{{\"bufferView\":{},\"componentType\":5126,\"count\":{},\"type\":\"VEC3\"{more}}}",
                views.len(),
                list.len()
            ));
            views.push(format!(
                "{{\"buffer\":0,\"byteOffset\":{start},\"byteLength\":{},\"target\":34962}}",
                data.len() - start
            ));
        }
        let start = data.len();
        data.extend(indices.iter().flat_map(|v| v.to_le_bytes()));
        accessors.push(format!(
            "{{\"bufferView\":{},\"componentType\":5125,\"count\":{},\"type\":\"SCALAR\"}}",
            views.len(),
            indices.len()
        ));
        views.push(format!(
            "{{\"buffer\":0,\"byteOffset\":{start},\"byteLength\":{},\"target\":34963}}",
            data.len() - start
        ));
        let [r, g, b] = s.colour.map(|c| (f64::from(c) / 255.0).powf(2.2));
        materials.push(format!(
            "{{\"pbrMetallicRoughness\":{{\"baseColorFactor\":[{r:.4},{g:.4},{b:.4},1],\"metallicFactor\":0,\"roughnessFactor\":0.9}}}}"
        ));
        meshes.push(format!(
            "{{\"primitives\":[{{\"attributes\":{{\"POSITION\":{},\"NORMAL\":{}}},\"indices\":{},\"material\":{k}}}]}}",
            3 * k,
            3 * k + 1,
            3 * k + 2
        ));
        nodes.push(format!("{{\"mesh\":{k}}}"));
    }
    let list: Vec<String> = (0..nodes.len()).map(|n| n.to_string()).collect();
    let json = format!(
        "{{\"asset\":{{\"version\":\"2.0\",\"generator\":\"Latchwork\"}},\"scene\":0,\"scenes\":[{{\"nodes\":[{}]}}],\"nodes\":[{}],\
         \"meshes\":[{}],\"materials\":[{}],\"accessors\":[{}],\"bufferViews\":[{}],\"buffers\":[{{\"byteLength\":{}}}]}}",
        list.join(","),
        nodes.join(","),
        meshes.join(","),
        materials.join(","),
        accessors.join(","),
        views.join(","),
        data.len()
    );
    glb(json, data)
}

/// The container: a header and two chunks, each to a multiple of four bytes.
pub(crate) fn glb(json: String, mut data: Vec<u8>) -> Vec<u8> {
    let mut json = json.into_bytes();
    json.resize(json.len().next_multiple_of(4), b' ');
    data.resize(data.len().next_multiple_of(4), 0);
    let mut file = Vec::with_capacity(28 + json.len() + data.len());
    file.extend(b"glTF");
    file.extend(2_u32.to_le_bytes());
    file.extend(((28 + json.len() + data.len()) as u32).to_le_bytes());
    for (chunk, name) in [(&json, b"JSON"), (&data, b"BIN\0")] {
        file.extend((chunk.len() as u32).to_le_bytes());
        file.extend(name);
        file.extend(chunk);
    }
    file
}

type Corners = Vec<[f32; 3]>;

/// Corners round a strand and which way each faces. The frame is carried along without twist.
fn tube(s: &Strand) -> (Corners, Corners) {
    let n = s.points.len();
    let cross =
        |a: [f64; 3], b: [f64; 3]| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let unit = |v: [f64; 3]| {
        let l = v[0].hypot(v[1]).hypot(v[2]).max(1e-12);
        v.map(|c| c / l)
    };
    let (mut positions, mut normals) = (Vec::new(), Vec::new());
    let mut side = [0.0, 0.0, 1.0];
    for i in 0..n {
        let (a, b) = (s.points[i.saturating_sub(1)], s.points[(i + 1).min(n - 1)]);
        let way = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
        let along = side[0] * way[0] + side[1] * way[1] + side[2] * way[2];
        side = [0, 1, 2].map(|c| side[c] - along * way[c]);
        if side[0].hypot(side[1]).hypot(side[2]) < 1e-6 {
            side = cross(way, [1.0, 0.0, 0.0]);
        }
        side = unit(side);
        let other = cross(way, side);
        for j in 0..ROUND {
            let (sin, cos) = (core::f64::consts::TAU * j as f64 / ROUND as f64).sin_cos();
            let normal = [0, 1, 2].map(|c| cos * side[c] + sin * other[c]);
            positions.push([0, 1, 2].map(|c| (s.points[i][c] + s.radius * normal[c]) as f32));
            normals.push(normal.map(|v| v as f32));
        }
    }
    (positions, normals)
}
