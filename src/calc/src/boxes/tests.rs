//! Counting a box, and what may never happen while counting.

use super::more::named_devices;
use super::*;
use proptest::prelude::*;
use rust_decimal::prelude::FromPrimitive;

fn wires(of: &[(&str, u32)]) -> Vec<Wires> {
    of.iter()
        .map(|(size, count)| Wires {
            size: (*size).to_owned(),
            count: *count,
        })
        .collect()
}

fn dec(value: f64) -> Decimal {
    Decimal::from_f64(value).expect("a figure")
}

fn total(edition: RuleSet, contents: &Contents) -> Decimal {
    fill(edition, contents).expect("a fill").total
}

const EDITIONS: [RuleSet; 3] = [RuleSet::Nec2017, RuleSet::Nec2020, RuleSet::Nec2023];

#[test]
fn a_device_counts_what_is_wired_to_it_not_the_largest_in_the_box() {
    let mut contents = Contents {
        conductors: wires(&[("12", 2), ("14", 4)]),
        egc: wires(&[("12", 1), ("14", 2)]),
        clamps: true,
        yokes: vec![Yokes {
            count: 1,
            gangs: 1,
            largest: Some("12".into()),
        }],
        ..Contents::default()
    };
    assert_eq!(total(RuleSet::Nec2023, &contents), dec(21.5));
    contents.yokes[0].largest = Some("14".into());
    assert_eq!(total(RuleSet::Nec2023, &contents), dec(21.0));
    contents.yokes[0].largest = None;
    let open = fill(RuleSet::Nec2023, &contents).expect("a fill");
    assert!(open.device_open);
    assert_eq!(open.total, dec(17.0));
    let most = fill_at_most(RuleSet::Nec2023, &contents).expect("the most");
    assert_eq!(most, Some(dec(21.5)));
    contents = Contents {
        yokes: contents.yokes,
        ..Contents::default()
    };
    assert_eq!(fill_at_most(RuleSet::Nec2023, &contents), Ok(None));
    let room = Room {
        volume: Some(dec(18.0)),
        ..Room::default()
    };
    let working = check(RuleSet::Nec2023, &contents, &room, &[]).expect("a working");
    assert_eq!(
        working.verdict(),
        Some(crate::working::Verdict::NotKnownYet)
    );
}

#[test]
fn grounding_conductors_count_by_edition() {
    let contents = Contents {
        egc: wires(&[("10", 4), ("12", 3)]),
        ..Contents::default()
    };
    let of = |edition| total(edition, &contents);
    assert_eq!(EDITIONS.map(of), [dec(2.5), dec(4.375), dec(4.375)]);
    let isolated = Contents {
        egc: wires(&[("12", 2)]),
        isolated_egc: wires(&[("12", 1)]),
        ..Contents::default()
    };
    let of = |edition| total(edition, &isolated);
    assert_eq!(EDITIONS.map(of), [dec(4.5), dec(2.25), dec(2.25)]);
}

#[test]
fn each_rule_of_the_count() {
    let one = |contents: Contents| EDITIONS.map(|edition| total(edition, &contents));
    let loops = Contents {
        loops: wires(&[("12", 1)]),
        through: wires(&[("14", 2)]),
        pigtails: wires(&[("10", 5)]),
        ..Contents::default()
    };
    assert_eq!(one(loops), [dec(8.5); 3]);
    let fittings = Contents {
        conductors: wires(&[("14", 2)]),
        fitting_types: 2,
        ..Contents::default()
    };
    assert_eq!(one(fittings), [dec(8.0); 3]);
    let blocks = Contents {
        terminal_blocks: vec!["12".into(), "10".into()],
        ..Contents::default()
    };
    assert_eq!(one(blocks), [dec(0.0), dec(0.0), dec(4.75)]);
    let canopy = Contents {
        canopy_wires: wires(&[("18", 4), ("16", 1), ("14", 1)]),
        canopy_egc: wires(&[("16", 1)]),
        ..Contents::default()
    };
    assert_eq!(one(canopy), [dec(3.75); 3]);
    let wide = Contents {
        conductors: wires(&[("10", 3)]),
        yokes: vec![Yokes {
            count: 1,
            gangs: 2,
            largest: None,
        }],
        ..Contents::default()
    };
    assert_eq!(one(wide), [dec(17.5); 3]);
}

#[test]
fn what_still_fits_takes_the_growth_of_the_clamp_along() {
    let contents = Contents {
        conductors: wires(&[("12", 4)]),
        egc: wires(&[("12", 2)]),
        clamps: true,
        ..Contents::default()
    };
    // 13.5 in3 are taken. One 10 AWG makes the clamp 2.5 in3.
    let room = dec(16.2);
    let more = |size| more(RuleSet::Nec2023, &contents, size, room).expect("sizes");
    assert_eq!(more("12"), Some(1));
    assert_eq!(more("10"), Some(0));
    assert_eq!(more("18"), Some(1));
}

#[test]
fn larger_and_unknown_sizes_are_refused() {
    assert_eq!(conductor_volume("4"), Err(BoxError::TooLarge("4".into())));
    assert_eq!(conductor_volume("13"), Err(BoxError::Size("13".into())));
    assert_eq!(conductor_volume("#12 AWG"), Ok(dec(2.25)));
}

#[test]
fn boxes_are_found_as_people_write_them() {
    let volume = |text: &str| {
        let found = find_box(text);
        (found.len() == 1).then(|| found[0].volume)
    };
    assert_eq!(volume("4 x 1-1/2 square"), Some(dec(21.0)));
    assert_eq!(volume("4\" × 1 1/2\" square box"), Some(dec(21.0)));
    assert_eq!(volume("4x1.5 octagon"), Some(dec(15.5)));
    assert_eq!(volume("4-11/16 x 2-1/8 square"), Some(dec(42.0)));
    assert_eq!(volume("4 11/16 x 2 1/8"), Some(dec(42.0)));
    assert_eq!(volume("3 x 2 x 3-1/2 device"), Some(dec(18.0)));
    assert_eq!(volume("FD single"), Some(dec(18.0)));
    assert_eq!(find_box("4 x 1-1/2").len(), 2);
    assert!(find_box("").is_empty());
    assert!(find_box("box").is_empty());
    assert!(find_box("9 x 9 square").is_empty());
    assert!(find_box("masonry 3-3/4 x 2 x 2-1/2")[0].by_gang);
    let smallest = smallest_box("square", dec(20.25)).expect("a box");
    assert_eq!(smallest.volume, dec(21.0));
    assert_eq!(smallest_box("square", dec(42.01)), None);
}

fn some_wires() -> impl Strategy<Value = Vec<Wires>> {
    let one = (
        prop::sample::select(vec!["18", "16", "14", "12", "10", "8", "6", "4", "x"]),
        prop_oneof![9 => 0u32..9, 1 => any::<u32>()],
    );
    prop::collection::vec(one, 0..4).prop_map(|of| wires(&of))
}

fn some_contents() -> impl Strategy<Value = Contents> {
    let yokes = (0u32..4, 0u32..4, prop::option::of("1[024]"));
    let lists = prop::array::uniform9(some_wires());
    let blocks = prop::collection::vec("1[0248]", 0..3);
    let yokes = prop::collection::vec(yokes, 0..3);
    (lists, any::<bool>(), 0u32..3, yokes, blocks).prop_map(
        |(lists, clamps, types, yokes, blocks)| {
            let [a, b, c, d, e, f, g, h, i] = lists;
            Contents {
                conductors: a,
                through: b,
                loops: c,
                pigtails: d,
                egc: e,
                isolated_egc: f,
                bonding_jumpers: g,
                canopy_wires: h,
                canopy_egc: i,
                clamps,
                fitting_types: types,
                yokes: yokes
                    .into_iter()
                    .map(|(count, gangs, largest)| Yokes {
                        count,
                        gangs,
                        largest,
                    })
                    .collect(),
                terminal_blocks: blocks,
            }
        },
    )
}

proptest! {
    #[test]
    fn one_more_wire_never_takes_less_room(contents in some_contents(), size in "1[02468]") {
        for edition in EDITIONS {
            let Ok(before) = fill(edition, &at_most(&contents).unwrap_or_default()) else { continue };
            let mut more = contents.clone();
            more.conductors.push(Wires { size: size.clone(), count: 1 });
            if let Ok(after) = at_most(&more).and_then(|more| fill(edition, &more)) {
                prop_assert!(after.total > before.total, "{before:?} {after:?}");
            }
        }
    }

    #[test]
    fn the_parts_are_the_whole(contents in some_contents()) {
        for edition in EDITIONS {
            if let Ok(fill) = fill(edition, &contents) {
                let sum: Decimal = fill.parts.iter().map(|part| part.volume).sum();
                prop_assert_eq!(sum, fill.total);
                let most = at_most(&contents).expect("sizes were read");
                prop_assert!(!super::fill(edition, &most).expect("a fill").device_open
                    || contents.all().all(|wire| wire.count == 0));
            }
        }
    }

    #[test]
    fn what_fits_fits_and_one_more_does_not(contents in some_contents(), room in 0u32..80) {
        let room = Decimal::from(room);
        for edition in EDITIONS {
            let Ok(Some(n)) = more(edition, &contents, "12", room) else { continue };
            let with = |n| {
                let mut with = named_devices(&contents).expect("sizes");
                with.conductors.push(Wires { size: "12".into(), count: n });
                fill(edition, &with)
            };
            if n > 0 {
                prop_assert!(with(n).expect("a fill").total <= room);
            }
            if let Ok(over) = with(n + 1) {
                prop_assert!(over.total > room);
            }
        }
    }

    #[test]
    fn no_text_panics(text in "\\PC*") {
        let _ = find_box(&text);
        let _ = conductor_volume(&text);
    }
}
