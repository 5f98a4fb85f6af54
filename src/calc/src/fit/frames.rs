//! Foot and shaft-height dimensions of standard frames, from the tables compiled in.

use std::sync::LazyLock;

/// One frame, in millimetres.
pub(super) struct Frame {
    name: String,
    /// Shaft centre over the feet.
    pub height: f64,
    across: f64,
    /// Spacings along the shaft; a 56H has two.
    along: Vec<f64>,
}

impl Frame {
    /// Every foot pattern as `(across, along)`.
    pub fn feet(&self) -> impl Iterator<Item = (f64, f64)> {
        self.along.iter().map(|along| (self.across, *along))
    }
}

// Rows without foot spacings (56HZ) tell nothing about the feet and are left out.
static FRAMES: LazyLock<Vec<Frame>> = LazyLock::new(|| {
    let nema = rows(include_str!("tables/nema_frames.csv"), [1, 2, 4], 25.4);
    let iec = rows(include_str!("tables/iec_frames.csv"), [1, 2, 3], 1.0);
    nema.chain(iec).collect()
});

fn rows(
    table: &'static str,
    [height, across, along]: [usize; 3],
    unit: f64,
) -> impl Iterator<Item = Frame> {
    // Quoted commas stand only in the last columns, which are not read.
    table.lines().skip(1).filter_map(move |row| {
        let cells: Vec<&str> = row.split(',').collect();
        let number = |cell: &str| cell.trim().parse::<f64>().ok().map(|v| v * unit);
        let along: Vec<f64> = cells
            .get(along)?
            .split(" and ")
            .filter_map(number)
            .collect();
        Some(Frame {
            name: (*cells.first()?).to_owned(),
            height: number(cells.get(height)?)?,
            across: number(cells.get(across)?)?,
            along: (!along.is_empty()).then_some(along)?,
        })
    })
}

/// The name's letters and digits, upper case: `143 T` and `143-t` are one frame.
fn plain(name: &str) -> impl Iterator<Item = u8> {
    name.bytes()
        .filter(u8::is_ascii_alphanumeric)
        .map(|byte| byte.to_ascii_uppercase())
}

pub(super) fn same_name(left: &str, right: &str) -> bool {
    plain(left).eq(plain(right))
}

pub(super) fn has_letter(name: &str, letter: char) -> bool {
    name.chars().any(|c| c.eq_ignore_ascii_case(&letter))
}

/// A frame of the tables. C (face), J (pump shaft), Y and Z change face or shaft, not the feet;
/// a C-face motor's feet may sit further from its shoulder, which alignment takes up.
pub(super) fn find(name: &str) -> Option<&'static Frame> {
    let exact = FRAMES.iter().find(|frame| same_name(&frame.name, name));
    exact.or_else(|| {
        let base = |b: &u8| !matches!(b, b'C' | b'J' | b'Y' | b'Z');
        FRAMES
            .iter()
            .find(|frame| plain(&frame.name).eq(plain(name).filter(base)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_are_found_by_any_spelling() {
        assert!((find("143t").unwrap().height - 88.9).abs() < 1e-9);
        assert!((find("56 C").unwrap().height - 88.9).abs() < 1e-9);
        assert_eq!(find("56H").unwrap().feet().count(), 2);
        assert_eq!(find("90-S").unwrap().height, 90.0);

        assert!(find("57Q").is_none());
    }
}
