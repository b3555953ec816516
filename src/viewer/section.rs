//! The part of the page in which part or mold is turned: canvas, controls, legends, and the data
//! that the script reads. Without the script none of it shows.

use maud::{Markup, PreEscaped, html};

use crate::viewer::{SCRIPT, Solid, Subject};

/// A check box of what is shown: its key, its name, and whether it begins checked.
type Shown = (&'static str, &'static str, bool);

/// What the controls show of a part.
const SHOWN: [Shown; 5] = [
    ("cause", "causes", true),
    ("parting", "parting line", true),
    ("gate", "gate (G)", true),
    ("vent", "vents (V)", false),
    ("pin", "ejector pins", false),
];

impl Subject {
    fn name(self) -> &'static str {
        match self {
            Self::Part | Self::Shape => "part",
            Self::Mold => "mold",
        }
    }

    /// The coloring that the page begins with.
    fn first_coloring(self) -> &'static str {
        match self {
            Self::Part | Self::Shape => "problem",
            Self::Mold => "formed",
        }
    }

    fn shown(self) -> &'static [Shown] {
        match self {
            Self::Part => &SHOWN,
            Self::Mold | Self::Shape => &[],
        }
    }

    /// How far the halves are apart at first, in hundredths.
    fn apart(self) -> u8 {
        match self {
            Self::Part | Self::Shape => 0,
            Self::Mold => 50,
        }
    }
}

/// The canvas and its controls.
pub(crate) fn section(solid: &Solid) -> Markup {
    let fills = solid.legends.iter().any(|legend| legend.key == "time");
    let name = solid.subject.name();
    html! {
        section #solid.solid hidden aria-label=(format!("The {name} in three dimensions")) {
            div.stand {
                canvas data-is="canvas" tabindex="0" role="application"
                    aria-label=(format!("The {name}, colored. Arrow keys turn it, with shift they move it, plus and minus zoom, Enter reads the middle, Home shows all of it."))
                    aria-describedby="hands" {}
                svg.over data-is="over" aria-hidden="true" {}
                p.readout data-is="readout" role="status" { "Point at the " (name) " to read it." }
            }
            p.chosen data-is="chosen" role="status" {}
            div.back hidden data-is="back" {
                button type="button" data-is="return" { "Back to the cause" }
                button type="button" data-is="all-causes" { "Show all causes" }
            }
            (colorings(solid))
            p.looks {
                button type="button" data-is="whole" { "Whole " (name) }
                button type="button" data-look="plus" { "Along the pull" }
                button type="button" data-look="minus" { "Against the pull" }
                button type="button" data-look="side" { "From one side" }
                button type="button" data-is="measure" aria-pressed="false" { "Measure" }
                button.touch type="button" data-is="touch" aria-pressed="false" { "Turn by touch" }
                @if fills { button type="button" data-is="play" { "Play the filling" } }
            }
            (more(solid.subject, fills))
        }
    }
}

fn colorings(solid: &Solid) -> Markup {
    let first = solid.subject.first_coloring();
    html! {
        div.colors hidden[solid.subject == Subject::Shape] {
            label {
                span { "Color by " }
                select data-is="color" {
                    @for legend in &solid.legends {
                        option value=(legend.key) selected[legend.key == first] { (legend.name) }
                    }
                }
            }
            @for legend in &solid.legends {
                div.legend data-legend=(legend.key) hidden[legend.key != first] { (legend.drawing) }
            }
        }
    }
}

fn more(subject: Subject, fills: bool) -> Markup {
    html! {
        details.more hidden[subject == Subject::Shape] {
            summary { "Cut, open and show" }
            div.sliders {
                label {
                    span { "Cut away" }
                    select data-is="cut-axis" {
                        option value="none" { "nothing" }
                        option value="pull" { "from below, along the pull" }
                        option value="ahead" { "from one side" }
                        option value="aside" { "from the other side" }
                        option value="eye" { "what is nearest to you" }
                    }
                    input type="range" min="0" max="100" value="50" data-is="cut" aria-label="Where the cut runs" disabled;
                }
                label {
                    span { "Halves apart" }
                    input type="range" min="0" max="100" value=(subject.apart()) data-is="apart";
                }
                @if fills {
                    label {
                        span { "Melt front at " b data-is="time-now" { "all" } }
                        input type="range" min="0" max="1" step="any" value="1" data-is="time";
                    }
                }
            }
            @if !subject.shown().is_empty() {
                fieldset.choice {
                    legend { "Show" }
                    @for (key, name, shows) in subject.shown() {
                        label { input type="checkbox" data-show=(key) checked[*shows]; (name) }
                    }
                }
            }
            p.hands #hands {
                "Drag turns, two fingers or the wheel zoom, shift and drag moves. Keys: arrows, + and −, Home; Enter reads the middle. "
                @match subject {
                    Subject::Part | Subject::Shape => { "Dark lines mark the limits of thickness; hatched is what is cut, gray stripes are the inside of the surface." }
                    Subject::Mold => { "Hatched is what is cut, each half its own way." }
                }
            }
        }
    }
}

/// What the script reads, and the script.
pub(crate) fn data(solid: &Solid) -> Markup {
    html! {
        script #scene type="application/json" { (PreEscaped(&solid.scene)) }
        script #surface type="text/plain" { (PreEscaped(&solid.letters)) }
        script { (PreEscaped(SCRIPT)) }
    }
}
