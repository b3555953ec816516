//! Rings on the plane across the pull, drawn apart so that none touches itself or another.
//!
//! Seen along the pull a step of the parting is one point, and the edges of a hook and of
//! the hole below it are one line. To span a surface between them every ring is drawn a
//! little to its left, into the skin that it bounds, and the corners of a step are set side
//! by side. Only the order of corners is taken from here, never their place.

/// Edges shorter than so many insets count as steps.
const STEP: f64 = 4.0;

/// A corner is drawn in by at most so many insets, however sharp it is.
const SHARPEST: f64 = 3.0;

/// `ring` drawn in by `inset`; `None` when all of it is one point.
pub fn apart(ring: &[[f64; 2]], inset: f64) -> Option<Vec<[f64; 2]>> {
    let count = ring.len();
    let ways: Vec<Option<[f64; 2]>> = (0..count)
        .map(|i| {
            let [a, b] = [ring[i], ring[(i + 1) % count]];
            let [x, y] = [b[0] - a[0], b[1] - a[1]];
            let length = x.hypot(y);
            (length > STEP * inset).then(|| [x / length, y / length])
        })
        .collect();
    // Start behind a real edge, so that no step is cut in two.
    let first = (0..count).find(|&i| ways[(i + count - 1) % count].is_some())?;
    let mut placed = vec![[0.0; 2]; count];
    let mut at = 0;
    while at < count {
        let start = (first + at) % count;
        let mut members = 1;
        while at + members < count && ways[(start + members - 1) % count].is_none() {
            members += 1;
        }
        let came = ways[(start + count - 1) % count]?;
        let goes = ways[(start + members - 1) % count]?;
        for member in 0..members {
            let corner = ring[(start + member) % count];
            placed[(start + member) % count] =
                place(corner, [came, goes], inset, share(member, members));
        }
        at += members;
    }
    Some(placed)
}

/// From −1 for the first of several to 1 for the last; 0 for a lone one.
fn share(member: usize, members: usize) -> f64 {
    if members < 2 { 0.0 } else { 2.0 * member as f64 / (members - 1) as f64 - 1.0 }
}

fn place(
    corner: [f64; 2],
    [came, goes]: [[f64; 2]; 2],
    inset: f64,
    share: f64,
) -> [f64; 2] {
    let left = |way: [f64; 2]| [-way[1], way[0]];
    let [a, b] = [left(came), left(goes)];
    let sum = [a[0] + b[0], a[1] + b[1]];
    let divisor = (1.0 + a[0] * b[0] + a[1] * b[1]).max(2.0 / SHARPEST.powi(2));
    let along = if share < 0.0 { came } else { goes };
    let slide = share * inset / 4.0;
    [0, 1].map(|axis| corner[axis] + sum[axis] / divisor * inset + along[axis] * slide)
}

#[cfg(test)]
mod tests {
    use super::apart;

    #[test]
    fn a_square_shrinks_and_a_step_in_its_corner_opens() {
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        let drawn = apart(&square, 0.01).unwrap();
        for (seen, wanted) in
            drawn.iter().zip([[0.01, 0.01], [1.99, 0.01], [1.99, 1.99], [0.01, 1.99]])
        {
            assert!((seen[0] - wanted[0]).hypot(seen[1] - wanted[1]) < 1e-12, "{seen:?}");
        }
        let stepped = [[0.0, 0.0], [2.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        let drawn = apart(&stepped, 0.01).unwrap();
        assert!(drawn[1][0] < 1.99 && (drawn[1][1] - 0.01).abs() < 1e-12);
        assert!(drawn[2][1] > 0.01 && (drawn[2][0] - 1.99).abs() < 1e-12);
        assert_eq!(apart(&[[1.0, 1.0]; 4], 0.01), None);
    }
}
