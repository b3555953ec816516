//! Small drawings of what a bad part shows.

use maud::{Markup, html};

use crate::diagnosis::symptom::Symptom;

/// The drawing of a symptom.
pub(super) fn drawing(symptom: Symptom) -> Markup {
    let inside = match symptom {
        Symptom::Short => short(),
        Symptom::Flash => flash(),
        Symptom::Sink => sink(),
        Symptom::Burn => burn(),
        Symptom::Weld => weld(),
        Symptom::Sticks => sticks(),
        Symptom::Warps => warps(),
        Symptom::Bubbles => bubbles(),
        Symptom::Drool => drool(),
        Symptom::ColdSlug => cold_slug(),
    };
    html! {
        svg.sketch viewBox="0 0 96 72" aria-hidden="true" focusable="false" { (inside) }
    }
}

/// A cup whose far end is missing; dashed, where it should be.
fn short() -> Markup {
    html! {
        path.strong d="M12 20 h40 q6 4 2 10 q-4 8 2 14 q2 4 -4 8 h-40 z" {}
        path stroke-dasharray="4 3" d="M58 20 h26 v32 h-28" {}
    }
}

/// A block with a thin film around its middle.
fn flash() -> Markup {
    html! {
        path.strong d="M26 16 h44 v40 h-44 z" {}
        path d="M26 35 h-18 q-3 1 0 2 h18 M70 35 h20 q2 1 -2 2 h-18" {}
    }
}

/// A hollow above a rib.
fn sink() -> Markup {
    html! {
        path.strong d="M8 24 h28 q12 10 24 0 h28 v12 h-32 v24 h-16 v-24 h-32 z" {}
    }
}

/// A dark corner at the end of the way.
fn burn() -> Markup {
    html! {
        rect x="12" y="18" width="72" height="36" {}
        path.strong d="M84 18 v36 h-14 q-8 -8 0 -14 q-4 -12 14 -22 z" {}
        path.arrow d="M20 36 h28 m-5 -4 l5 4 l-5 4" {}
    }
}

/// Two fronts that meet behind a hole.
fn weld() -> Markup {
    html! {
        rect x="10" y="14" width="76" height="44" {}
        circle.strong cx="42" cy="36" r="10" {}
        path d="M52 36 l6 -2 l6 4 l6 -4 l6 3 l10 -1" {}
    }
}

/// A part that stays on its core.
fn sticks() -> Markup {
    html! {
        path d="M8 58 h80 M34 58 v-34 h28 v34" {}
        path.strong d="M24 58 v-44 h48 v44 h-10 v-34 h-28 v34 z" {}
        path.arrow d="M48 12 v-10 m-4 4 l4 -4 l4 4" {}
    }
}

/// A bar that bends away from a straight edge.
fn warps() -> Markup {
    html! {
        path d="M8 56 h80" {}
        path.strong d="M8 44 q40 -28 80 0 v8 q-40 -28 -80 0 z" {}
    }
}

/// Holes in a wall, streaks on it.
fn bubbles() -> Markup {
    html! {
        rect x="10" y="20" width="76" height="32" {}
        circle cx="28" cy="40" r="5" {}
        circle cx="44" cy="32" r="3" {}
        circle cx="54" cy="42" r="4" {}
        path d="M64 28 l14 -3 M62 36 l18 -3 M66 44 l12 -2" {}
    }
}

/// A drop at a nozzle.
fn drool() -> Markup {
    html! {
        path.strong d="M32 6 h32 v22 l-10 12 h-12 l-10 -12 z" {}
        path d="M46 40 v8 q-6 8 2 12 q8 -4 2 -12 v-8" {}
    }
}

/// A lump before a gate.
fn cold_slug() -> Markup {
    html! {
        path d="M4 30 h30 l6 4 h8 M4 42 h30 l6 -4 h8 M48 34 v-18 h40 v40 h-40 v-18" {}
        path.strong d="M50 36 q6 -8 12 0 q0 8 -8 6 q-4 -1 -4 -6 z" {}
    }
}
