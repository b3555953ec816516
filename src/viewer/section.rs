//! The part of the page in which the part is turned: canvas, controls, legends, and the data
//! that the script reads. Without the script none of it shows.

use maud::{Markup, PreEscaped, html};

use crate::viewer::{SCRIPT, Solid};

/// The canvas and its controls.
pub(crate) fn section(solid: &Solid) -> Markup {
    let fills = solid.legends.iter().any(|legend| legend.key == "time");
    html! {
        section #solid.solid hidden aria-label="The part in three dimensions" {
            h2 { "The part" }
            div.stand {
                canvas data-is="canvas" tabindex="0" role="application"
                    aria-label="The part, colored. Arrow keys turn it, with shift they move it, plus and minus zoom, Enter reads the middle, Home shows all of it."
                    aria-describedby="hands" {}
                p.readout data-is="readout" role="status" { "Point at the part to read it." }
            }
            p.chosen data-is="chosen" role="status" {}
            button type="button" data-is="return" hidden { "Back to the finding" }
            @for legend in &solid.legends {
                div.legend data-legend=(legend.key) hidden[legend.key != "ball"] { (legend.drawing) }
            }
            (controls(solid, fills))
            p.hands #hands {
                "Drag turns, two fingers or the wheel zoom, shift and drag moves. Keys: arrows, + and −, Home; Enter reads the middle. Dark lines mark the limits of thickness; hatched is what is cut, gray stripes are the inside of the surface."
            }
        }
    }
}

fn controls(solid: &Solid, fills: bool) -> Markup {
    html! {
        fieldset.choice {
            legend { "Color by" }
            @for legend in &solid.legends {
                label {
                    input type="radio" name="color" value=(legend.key) checked[legend.key == "ball"];
                    (legend.name)
                }
            }
        }
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
                input type="range" min="0" max="100" value="0" data-is="apart";
            }
            @if fills {
                label {
                    span { "Melt front at " b data-is="time-now" { "all" } }
                    input type="range" min="0" max="1" step="any" value="1" data-is="time";
                }
            }
        }
        fieldset.choice {
            legend { "Show" }
            @for (key, name) in [
                ("finding", "findings"), ("parting", "parting line"), ("gate", "gate (G)"),
                ("vent", "vents (V)"), ("pin", "ejector pins"),
            ] {
                label { input type="checkbox" data-show=(key) checked; (name) }
            }
        }
        p.looks {
            button type="button" data-is="whole" { "Whole part" }
            button type="button" data-look="plus" { "Along the pull" }
            button type="button" data-look="minus" { "Against the pull" }
            button type="button" data-look="side" { "From one side" }
            button type="button" data-look="other" { "From the other side" }
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
