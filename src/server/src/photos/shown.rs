//! A photo as pages show it.

use super::queries::PhotoRow;
use super::{Photo, about_words};
use crate::clock::Zone;
use crate::people::Person;

/// What a template needs for one thumbnail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thumb {
    pub sha: String,
    /// What it is about and the caption, for those who do not see it too.
    pub words: String,
    pub width: u32,
    pub height: u32,
}

impl Thumb {
    pub fn of(photo: &Photo) -> Thumb {
        let (width, height) = small_size(photo.width, photo.height);
        Thumb {
            sha: photo.sha.clone(),
            words: words(&photo.about, &photo.caption),
            width,
            height,
        }
    }

    pub fn sized(sha: &str, words: &str, (width, height): (u32, u32)) -> Thumb {
        let (width, height) = small_size(width, height);
        Thumb {
            sha: sha.to_owned(),
            words: words.to_owned(),
            width,
            height,
        }
    }

    fn of_row(row: &PhotoRow) -> Thumb {
        let side = |length: i64| u32::try_from(length).unwrap_or(1);
        let (width, height) = small_size(side(row.width), side(row.height));
        Thumb {
            sha: row.sha.clone(),
            words: words(&row.about, &row.caption),
            width,
            height,
        }
    }
}

pub fn words(about: &str, caption: &str) -> String {
    let about = about_words(about);
    if caption.is_empty() {
        format!("Photo, {about}")
    } else {
        format!("Photo, {about}: {caption}")
    }
}

/// A size that the page can leave free before the file is there.
fn small_size(width: u32, height: u32) -> (u32, u32) {
    let longest = width.max(height).max(1);
    let small = |side: u32| (side * 320 / longest.max(320)).max(1);
    (small(width), small(height))
}

/// A thumbnail with who, when and where it belongs.
#[derive(Clone, Debug)]
pub struct Shown {
    pub entry: String,
    pub number: i64,
    pub job: i64,
    pub thumb: Thumb,
    pub who: String,
    pub when: String,
    /// Whether this person may withdraw it.
    pub may_withdraw: bool,
}

impl Shown {
    pub fn of(row: &PhotoRow, zone: &Zone, by: &Person) -> Shown {
        let who = if row.person.is_empty() {
            "without sign-in".to_owned()
        } else {
            row.person.clone()
        };
        Shown {
            entry: row.entry_id.clone(),
            number: row.number,
            job: row.job_id.0,
            thumb: Thumb::of_row(row),
            who,
            when: zone.minute_words(row.taken_at),
            may_withdraw: super::may_withdraw(by, row.person_id),
        }
    }
}

/// The newest, and the newest of a plate where none of these shows one: what is there is given newest
/// first.
pub fn for_machine(rows: Vec<PhotoRow>, most: usize) -> Vec<PhotoRow> {
    let plate = rows.iter().position(|row| row.about == "plate");
    let last = most.saturating_sub(1);
    rows.into_iter()
        .enumerate()
        .filter(|(at, _)| match plate {
            Some(plate) if plate > last => *at < last || *at == plate,
            _ => *at < most,
        })
        .map(|(_, row)| row)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jobs::JobId;

    fn row(about: &str, at: i64) -> PhotoRow {
        PhotoRow {
            entry_id: String::new(),
            number: 1,
            job_id: JobId(1),
            person_id: None,
            person: String::new(),
            sha: String::new(),
            thumb: String::new(),
            width: 1600,
            height: 1200,
            caption: String::new(),
            about: about.to_owned(),
            taken_at: at,
        }
    }

    #[test]
    fn the_newest_plate_is_never_pushed_out_by_newer_photos() {
        let mut rows: Vec<_> = (0..9).rev().map(|at| row("damage", at)).collect();
        let times = |rows| -> Vec<i64> {
            let rows: Vec<PhotoRow> = for_machine(rows, 4);
            rows.iter().map(|row| row.taken_at).collect()
        };
        assert_eq!(times(rows.clone()), [8, 7, 6, 5], "no plate at all");
        rows[1].about = "plate".to_owned();
        assert_eq!(times(rows.clone()), [8, 7, 6, 5]);
        rows[1].about = "damage".to_owned();
        rows[3].about = "plate".to_owned();
        assert_eq!(times(rows.clone()), [8, 7, 6, 5]);
        rows[3].about = "damage".to_owned();
        rows[7].about = "plate".to_owned();
        rows[8].about = "plate".to_owned();
        assert_eq!(times(rows), [8, 7, 6, 1]);
    }

    #[test]
    fn the_page_leaves_the_room_that_the_small_photo_takes() {
        assert_eq!(small_size(1600, 1200), (320, 240));
        assert_eq!(small_size(1200, 1600), (240, 320));
        assert_eq!(small_size(90, 60), (90, 60));
        assert_eq!(small_size(1600, 1), (320, 1));
    }

    #[test]
    fn a_photo_is_named_in_words() {
        assert_eq!(words("as_left", ""), "Photo, as left");
        assert_eq!(words("plate", "Back side"), "Photo, plate: Back side");
        assert_eq!(words("report", ""), "Photo, with the report");
    }
}
