//! Small drawings of what drives the ram and of what holds the mold.

use maud::{Markup, html};

/// The drawing of the drive or clamp that is called so in the form; nothing for another one.
pub(super) fn drawing(kind: &str) -> Markup {
    let inside = match kind {
        "drive.air" => air(),
        "drive.lever" => lever(),
        "drive.jack" => jack(),
        "drive.ram_force" => force(),
        "clamp.bolts" => bolts(),
        "clamp.vise" => vise(),
        "clamp.force" => clamp(),
        _ => return html! {},
    };
    html! {
        svg.sketch viewBox="0 0 96 72" aria-hidden="true" focusable="false" { (inside) }
    }
}

/// A cylinder whose rod pushes the ram into the barrel.
fn air() -> Markup {
    html! {
        rect x="30" y="4" width="36" height="28" {}
        path d="M30 17 h36 M48 17 v28" {}
        path.strong d="M40 45 h16 v10 h-16 z" {}
        path d="M36 50 v18 h24 v-18" {}
        path.arrow d="M14 10 h12 m-4 -3 l4 3 l-4 3" {}
    }
}

/// An arm on a pivot, the hand at its far end, the ram near by.
fn lever() -> Markup {
    html! {
        path.strong d="M12 30 L86 12" {}
        circle cx="12" cy="30" r="4" {}
        path d="M12 34 v14 h-8 m8 0 h8" {}
        path d="M32 26 v18" {}
        path.strong d="M26 44 h12 v10 h-12 z" {}
        path d="M22 50 v18 h20 v-18" {}
        path.arrow d="M84 20 v16 m-3 -4 l3 4 l3 -4" {}
    }
}

/// A screw in a frame, turned by a handle.
fn jack() -> Markup {
    html! {
        path d="M22 12 h52 M24 12 v56 M72 12 v56" {}
        path.strong d="M42 6 h12 v32 h-12 z" {}
        path d="M42 18 l12 4 M42 24 l12 4 M42 30 l12 4" {}
        path d="M28 5 h40" {}
        path.strong d="M40 40 h16 v10 h-16 z" {}
        path d="M36 46 v22 h24 v-22" {}
    }
}

/// An arrow on the ram.
fn force() -> Markup {
    html! {
        path.arrow d="M48 6 v30 m-7 -9 l7 9 l7 -9" {}
        path.strong d="M40 40 h16 v10 h-16 z" {}
        path d="M36 46 v22 h24 v-22" {}
    }
}

/// Two plates, a bolt at each side.
fn bolts() -> Markup {
    html! {
        rect x="12" y="20" width="72" height="16" {}
        rect x="12" y="36" width="72" height="16" {}
        path.strong d="M18 14 h12 v6 h-12 z M66 14 h12 v6 h-12 z M18 52 h12 v6 h-12 z M66 52 h12 v6 h-12 z" {}
        path d="M21 20 v32 M27 20 v32 M69 20 v32 M75 20 v32" {}
    }
}

/// Two plates between jaws that a screw pulls together.
fn vise() -> Markup {
    html! {
        rect x="32" y="12" width="14" height="34" {}
        rect x="46" y="12" width="14" height="34" {}
        path.strong d="M20 8 h12 v46 h-12 z M60 8 h12 v46 h-12 z" {}
        path d="M8 60 h72 M20 54 v6 M72 54 v6 M80 48 v22" {}
        path.arrow d="M4 28 h14 m-4 -3 l4 3 l-4 3 M92 28 h-18 m4 -3 l-4 3 l4 3" {}
    }
}

/// Two plates pressed together from both sides.
fn clamp() -> Markup {
    html! {
        rect x="16" y="22" width="64" height="14" {}
        rect x="16" y="36" width="64" height="14" {}
        path.arrow d="M48 2 v18 m-5 -6 l5 6 l5 -6 M48 70 v-18 m-5 6 l5 -6 l5 6" {}
    }
}
