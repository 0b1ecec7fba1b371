//! Shapes of a stretch, chosen from drawings.

use maud::{Markup, html};

use latchwork::revise::Shape;

use super::enc;
use super::form::of;
use super::stretch::At;
use crate::said::{t, tf};

/// A shape's word in the catalogue, and its drawing, 64 by 48.
fn drawn(shape: Shape) -> (&'static str, &'static str) {
    match shape {
        Shape::Straight => ("shape-straight", "M12 44V6H52V44Z"),
        Shape::Slanted => ("shape-slanted", "M8 44L20 6H44L56 44Z"),
        Shape::Armhole => ("shape-armhole", "M6 44V36H11C16 34 18 28 18 6H46C46 28 48 34 53 36H58V44Z"),
        Shape::SleeveTop => ("shape-sleeve-top", "M4 44H10C18 40 18 8 26 6H38C46 8 46 40 54 44H60Z"),
        Shape::Undivided => ("shape-undivided", "M8 44V8H56V44Z"),
        Shape::RoundNeck => ("shape-round-neck", "M8 44V8H20C20 24 24 30 28 30H36C40 30 44 24 44 8H56V44Z"),
        Shape::VNeck => ("shape-v-neck", "M8 44V8H20L32 36 44 8H56V44Z"),
        Shape::Crown => {
            ("shape-crown", "M6 44C8 22 20 8 32 8S56 22 58 44ZM20 44C21 28 26 14 32 8M44 44C43 28 38 14 32 8")
        }
        Shape::Heel => ("shape-heel", "M10 4V24C10 40 24 46 40 42L58 38V20H32V4ZM10 24L32 20M18 38L32 20"),
        Shape::Slit => ("shape-slit", "M10 44V6H54V44ZM32 34V16"),
        Shape::Level => ("shape-level", "M6 36V12H22C22 26 27 32 32 32S42 26 42 12H58V36Z"),
        Shape::CastOff => {
            ("shape-cast-off", "M6 36V22H12V18H17V14H22C22 26 27 32 32 32S42 26 42 14H47V18H52V22H58V36Z")
        }
        Shape::Held => ("shape-held", "M6 36V22L22 12C22 26 27 32 32 32S42 26 42 12L58 22V36Z"),
    }
}

/// All shapes.
fn all() -> impl Iterator<Item = Shape> {
    Shape::SIDES.into_iter().chain(Shape::MIDDLE).chain(Shape::SHOULDERS)
}

/// A shape's word in forms.
fn word(shape: Shape) -> &'static str {
    drawn(shape).0.trim_start_matches("shape-")
}

/// The shape of a form's word.
pub(crate) fn shape_called(called: &str) -> Option<Shape> {
    all().find(|s| word(*s) == called)
}

/// A shape in words.
pub(crate) fn shape_words(shape: Shape) -> String {
    t(drawn(shape).0)
}

impl At<'_> {
    /// The shapes that it can be given, as drawings.
    pub(super) fn shapes(&self) -> Markup {
        let stretch = self.stretch();
        let id = format!("z{}-{}", self.place.0, self.place.1);
        let asked = self.told.is_some_and(|t| t.at.as_deref() == Some(&id));
        let last = self.place.1 + 1 == self.piece().stretches.len();
        let middle = Shape::MIDDLE.into_iter().filter(|s| last || !matches!(s, Shape::RoundNeck | Shape::VNeck));
        let mut groups = vec![
            ("shape-sides", Shape::SIDES.to_vec(), Shape::of_sides(stretch)),
            ("shape-middle", middle.collect(), Shape::of_middle(stretch)),
        ];
        groups.extend(Shape::of_shoulders(stretch).map(|now| ("shape-shoulders", Shape::SHOULDERS.to_vec(), now)));
        html! {
            details open[asked] {
                summary id=(id) { (of(&t("shape"), &self.whose())) }
                form method="post" action={ "/d/" (enc(self.name)) "/shape" } data-work="" {
                    (self.hidden("shape"))
                    input type="hidden" name="id" value=(id);
                    p.small.label { (t("shape-how")) }
                    @for (title, shapes, now) in groups {
                        h4 { (t(title)) }
                        div.swatches {
                            @for shape in shapes {
                                @let (word, path) = (word(shape), drawn(shape).1);
                                button id={ (id) "-" (word) } name="value" value=(word) aria-current=[(shape == now).then_some("true")] {
                                    svg width="86" height="64" viewBox="0 0 64 48" aria-hidden="true" { path.band d=(path) {} }
                                    span { (shape_words(shape)) span.vh { " " (tf("of-whose", &[("whose", &self.whose())])) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
