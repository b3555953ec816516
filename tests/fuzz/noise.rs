//! Numbers that look random and are the same every time, and bytes changed by them.

/// `SplitMix64` (Steele, Lea & Flood 2014).
#[derive(Clone)]
pub(crate) struct Noise(pub(crate) u64);

impl Noise {
    pub(crate) fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Between zero and one.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.draw() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A size of one up to 2 to the power of `most`, small ones as often as large ones.
    fn size(&mut self, most: usize) -> usize {
        let scale = self.below(most + 1);
        1 + self.below(1 << scale)
    }

    /// Below `count`; zero where there is nothing below.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        if count == 0 { 0 } else { (self.draw() % count as u64) as usize }
    }

    pub(crate) fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// Longer inputs are cut: what breaks a reader is small.
const LONGEST: usize = 1 << 15;

/// Numbers that readers stumble over.
const NUMBERS: [&str; 24] = [
    "0",
    "-0",
    "-1",
    "1e308",
    "-1e308",
    "1e-320",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "1,5",
    "1/0",
    "1 1/2",
    "5/8",
    "\u{bd}",
    "0x10",
    "1_000",
    "99999999999999999999",
    "2147483648",
    "4294967296",
    "1e15",
    "1e30",
    "0.000001",
    "1'000",
];

/// Values of four bytes that are rarely meant.
const FLOATS: [f32; 12] = [
    0.0,
    -0.0,
    f32::NAN,
    f32::INFINITY,
    f32::NEG_INFINITY,
    f32::MAX,
    f32::MIN_POSITIVE,
    1e-45,
    1e15,
    -1e30,
    1e-6,
    1.0,
];

/// One of `seeds`, changed a few times; `words` are what its language consists of.
pub(crate) fn mutated(noise: &mut Noise, seeds: &[Vec<u8>], words: &[&str]) -> Vec<u8> {
    let mut bytes = noise.pick(seeds).clone();
    let changes = noise.size(4);
    for _ in 0..changes {
        change(noise, &mut bytes, seeds, words);
    }
    bytes.truncate(LONGEST);
    bytes
}

fn change(noise: &mut Noise, bytes: &mut Vec<u8>, seeds: &[Vec<u8>], words: &[&str]) {
    let at = noise.below(bytes.len() + 1);
    match noise.below(12) {
        0 if at < bytes.len() => bytes[at] ^= 1 << noise.below(8),
        1 if at < bytes.len() => bytes[at] = noise.draw() as u8,
        2 => insert(bytes, at, &[*noise.pick(b" \n\t,.\"'[]{}=#-+0e\0\xff")]),
        3 => {
            let end = (at + noise.size(8)).min(bytes.len());
            bytes.drain(at..end);
        }
        4 => {
            let end = (at + noise.size(8)).min(bytes.len());
            let block = bytes[at..end].to_vec();
            let to = noise.below(bytes.len() + 1);
            insert(bytes, to, &block);
        }
        5 => {
            let other = noise.pick(seeds);
            let begin = noise.below(other.len() + 1);
            let end = (begin + 1 + noise.below(200)).min(other.len());
            insert(bytes, at, &other[begin..end]);
        }
        6 => float(noise, bytes, at),
        7 if !words.is_empty() => {
            let word = noise.pick(words);
            insert(bytes, at, word.as_bytes());
        }
        8 => line(noise, bytes, at),
        9 if at > 0 => bytes.truncate(at),
        _ => number(noise, bytes, at),
    }
}

fn insert(bytes: &mut Vec<u8>, at: usize, what: &[u8]) {
    bytes.splice(at..at, what.iter().copied());
}

/// The next number after `at` becomes another one.
fn number(noise: &mut Noise, bytes: &mut Vec<u8>, at: usize) {
    let is_part = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
    let Some(begin) = bytes[at..].iter().position(is_part).map(|n| n + at) else {
        return;
    };
    let end = bytes[begin..].iter().position(|it| !is_part(it));
    let end = end.map_or(bytes.len(), |n| n + begin);
    let other = match noise.below(3) {
        0 => format!("{}", (noise.unit() * 400.0).round() / 4.0),
        1 => format!("{:e}", 10_f64.powf(24.0 * noise.unit() - 12.0)),
        _ => (*noise.pick(&NUMBERS)).to_owned(),
    };
    bytes.splice(begin..end, other.into_bytes());
}

/// Four bytes become a number that is rarely meant, where a coordinate of a binary STL stands.
fn float(noise: &mut Noise, bytes: &mut [u8], at: usize) {
    let facet = at.saturating_sub(84) / 50;
    let begin = 84 + 50 * facet + 4 * noise.below(12);
    let scale = 10_f64.powf(14.0 * noise.unit() - 7.0) as f32;
    let value = if noise.below(2) == 0 { *noise.pick(&FLOATS) } else { scale };
    if let Some(place) = bytes.get_mut(begin..begin + 4) {
        place.copy_from_slice(&value.to_le_bytes());
    }
}

/// The line at `at` goes, or comes twice.
fn line(noise: &mut Noise, bytes: &mut Vec<u8>, at: usize) {
    let begin = bytes[..at].iter().rposition(|&it| it == b'\n').map_or(0, |n| n + 1);
    let end = bytes[at..].iter().position(|&it| it == b'\n');
    let end = end.map_or(bytes.len(), |n| at + n + 1);
    if noise.below(2) == 0 {
        bytes.drain(begin..end);
    } else {
        let line = bytes[begin..end].to_vec();
        insert(bytes, begin, &line);
    }
}
