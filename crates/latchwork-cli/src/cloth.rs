//! `cloth`: one repeat of a fabric at rest, in numbers and pictures.

use latchwork_web::{Rests, Store};
use std::path::Path;

use latchwork::cloth::{Asked, AtRest, Bulk, FIBRES, Sample, rest, rests_quickly};
use latchwork::fabric::{Fabric, built_in, find, find_in};
use latchwork::reach::colour;
use latchwork::record::{self, tidy};
use latchwork::units::{Mm, Tex, length_from};
use latchwork_files::save;
use latchwork_print::png;
use latchwork_thread::look::{Face, gltf, pixels, svg};
use latchwork_thread::relax::Fineness;
use latchwork_thread::rod::Matter;

use crate::Done;
use crate::args;
use crate::make::own_fabrics;
use crate::pieces::pieces;
use crate::report::{print, say, tell_line};

pub(crate) fn cloth(a: &args::Cloth) -> Done {
    let ink = match ink(a) {
        Ok(ink) => ink,
        Err(why) => return Done::Usage(why),
    };
    let Some(name) = &a.fabric else { return pieces(a) };
    let own = own_fabrics(Path::new("swatches"));
    let Some(fabric) = find(name).or_else(|| find_in(&own, name)) else {
        let names: Vec<&str> = built_in().iter().chain(&own).map(|f| f.name.as_str()).collect();
        return Done::Usage(format!("No fabric is called \"{name}\". There are: {}.", names.join(", ")));
    };
    let sample = match asked(a) {
        Ok(s) => s,
        Err(why) => return Done::Usage(why),
    };
    let beside = rests_quickly(fabric).then(|| sample.beside(fabric));
    let asked: Vec<Asked> = beside.into_iter().flatten().chain([sample.asked(fabric, 1.0)]).collect();
    let rests = Rests::of(&Store::of_platform(), &asked);
    let c = match rest(fabric, sample, true, &|a| rests.known(a)) {
        Ok(c) => c,
        Err(why) => {
            tell_line(&format!("{} in this yarn and loop cannot be shown: {why}.", fabric.name));
            tell_line(&format!(
                "The yarn is {:.2} mm thick and the loop {:.1} times as long. Knitted fabric has loops of 14 to 22 times.",
                sample.diameter.0,
                sample.loop_length.0 / sample.diameter.0
            ));
            return Done::Refused;
        }
    };
    if a.json {
        print(&record::cloth(fabric, &c));
    } else {
        say(&told(fabric, &c));
    }
    if let Some(dir) = &a.out
        && let Err(e) = draw(dir, fabric, &c, a, ink)
    {
        return Done::Usage(format!("The pictures could not be written to {}: {e}", dir.display()));
    }
    if c.rested.settled() { Done::Fine } else { Done::Refused }
}

fn within(name: &str, v: f64, low: f64, high: f64) -> Result<f64, String> {
    let fine = v.is_finite() && (low..=high).contains(&v);
    fine.then_some(v).ok_or_else(|| format!("{name} must be from {low} to {high}, not {v}."))
}

/// The colour of the yarn in pictures; the other options of a picture are checked with it.
fn ink(a: &args::Cloth) -> Result<[u8; 3], String> {
    within("--pixels", a.pixels as f64, 100.0, 12_000.0)?;
    within("--plies", f64::from(a.plies), 1.0, 12.0)?;
    within("--repeats", f64::from(a.repeats), 1.0, 60.0)?;
    colour(&a.colour)
        .ok_or_else(|| format!("{} is not a colour; write #8b9499: red, green and blue in hexadecimal.", a.colour))
}

/// The yarn's count and the yarn in a loop.
pub(crate) fn yarn(a: &args::Cloth) -> Result<(Tex, Mm), String> {
    let text = a.loop_length.as_deref().unwrap_or_default();
    let loop_length =
        length_from(text).ok_or_else(|| format!("\"{text}\" is not a length; write 14.4mm or 0.57in."))?;
    within("--loop in mm", loop_length.0, 1.0, 200.0)?;
    Ok((Tex(within("--tex", a.tex.unwrap_or_default(), 5.0, 5000.0)?), loop_length))
}

fn asked(a: &args::Cloth) -> Result<Sample, String> {
    let (tex, loop_length) = yarn(a)?;
    let density = FIBRES.iter().find(|f| f.0 == a.fibre.to_lowercase()).map(|f| f.1).ok_or_else(|| {
        let names: Vec<&str> = FIBRES.iter().map(|f| f.0).collect();
        format!("The density of \"{}\" is not known. Known fibres: {}.", a.fibre, names.join(", "))
    })?;
    let bulk = Bulk { density, packing: within("--packing", a.packing, 0.1, 0.91)? };
    Ok(Sample {
        tex,
        diameter: bulk.diameter(tex),
        loop_length,
        tuck: within("--tuck", a.tuck, 0.4, 1.5)?,
        matter: if a.hard { Matter::HARD } else { Matter::SOFT },
        fineness: if a.coarse { Fineness::Coarse } else { Fineness::Fine },
    })
}

fn told(fabric: &Fabric, c: &AtRest) -> String {
    let l = c.sample.loop_length.0;
    let row = |name: &str, value: String| format!("    {name:<28}{value}");
    let mut rows = vec![
        row(
            "yarn",
            format!(
                "{:.0} tex, {:.2} mm thick; a loop {:.1} times as long",
                c.sample.tex.0,
                c.sample.diameter.0,
                l / c.sample.diameter.0
            ),
        ),
        row("one repeat", format!("{} needles, {} rows", c.rested.needles, c.rested.passes)),
        row("across", in_ten("needles", c.needle(), c.needles())),
        row("along", in_ten("rows", c.pass(), c.passes())),
        row("thickness", format!("{:.1} mm", c.thickness())),
        row("cover", format!("{:.0}% of the area", 100.0 * c.cover)),
        row("weight", format!("{:.0} g in 1 m²", c.weight())),
        row("loop by row, by needle", format!("{:.2}, {:.2}", l / c.pass(), l / c.needle())),
    ];
    if let Some([w, h]) = c.slopes {
        rows.push(row("for each 1% longer loop", format!("width {w:+.1}%, length {h:+.1}%")));
    }
    let deepest = c.rested.touches.iter().map(|t| t.1).fold(0.0, f64::max);
    rows.push(row(
        "yarn touches yarn",
        format!("at {} places a repeat, squeezed by {:.0}% at most", c.rested.touches.len(), 100.0 * deepest),
    ));
    let mut text = format!("{}, predicted from the yarn alone\n{}", fabric.name, rows.join("\n"));
    let ratio = l / c.sample.diameter.0;
    if !(13.0..=23.0).contains(&ratio) {
        text += &format!(
            "\n\nLoops of {ratio:.0} yarn diameters were never compared with real fabric, which has 14 to 22. Check the tex and the loop."
        );
    }
    if c.rested.settled() {
        text += "\n\nThis is a prediction without a swatch. Knit a swatch before you rely on it.";
    } else {
        text += "\n\nIt did not come to rest: do not use these figures.";
    }
    text
}

/// How many of this size lie in 1 cm and in 10 cm; where several sizes are equally likely, from the fewest to the most.
fn in_ten(what: &str, size: f64, (least, most): (f64, f64)) -> String {
    let one = format!("{:.2} {what} in 1 cm ({:.1} in 10 cm)", 10.0 / size, 100.0 / size);
    let (few, many) = (format!("{:.1}", 100.0 / most), format!("{:.1}", 100.0 / least));
    if few == many { one } else { format!("{one}; shapes of nearly the same energy have {few} to {many}") }
}

fn draw(dir: &Path, fabric: &Fabric, c: &AtRest, a: &args::Cloth, ink: [u8; 3]) -> std::io::Result<()> {
    std::fs::create_dir_all(dir)?;
    let t = &c.rested.threads;
    let across = a.repeats;
    let up = ((f64::from(across) * t.width / t.height).round() as u32).clamp(1, 200);
    let (strands, window) = c.close_up((across, up), ink, 0.15);
    // A drawing and a shape have a part for every bend: for few loops only.
    let (few_strands, few_window) = c.close_up((across.min(3), up.min(3)), ink, 0.35);
    let name = tidy(&fabric.name);
    for (face, word) in [(Face::Far, "main-bed-side"), (Face::Near, "ribber-side")] {
        save(&dir.join(format!("{name}-{word}.png")), &png(&pixels(&strands, window, face, 1200, a.plies)))?;
        let title = format!("{}, seen from the {}", fabric.name, word.replace('-', " "));
        save(&dir.join(format!("{name}-{word}.svg")), svg(&few_strands, few_window, face, &title).as_bytes())?;
    }
    save(&dir.join(format!("{name}.glb")), &gltf(&few_strands))?;
    tell_line(&format!("Pictures and a 3D model: {}", dir.display()));
    Ok(())
}
