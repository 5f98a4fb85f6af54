use super::*;
use proptest::prelude::*;

#[test]
fn grades_are_read_as_people_write_them() {
    for name in ["G6.3", "g 6.3", "6.3"] {
        assert_eq!(grade(name).map(|grade| grade.mm_s), Some(6.3), "{name}");
    }
    assert_eq!(grade("G1.0").map(|grade| &*grade.name), Some("G1"));
    assert_eq!(grade("G7"), None);
    for category in crate::vibration::Category::ALL {
        assert!(grade(category.balance_grade()).is_some());
    }
}

#[test]
fn a_flake_of_dirt_is_judged_by_the_wheel_it_sits_on() {
    let owed = |wheel, grade_mm_s| {
        let asked = Debris {
            mass_g: 5.0,
            radius: Millimetres(250.0),
            speed: Rpm(1725.0),
            wheel,
            grade_mm_s,
        };
        debris(&asked).map(|found| found.working.verdict())
    };
    // U_per of 8 kg at G6.3 and 1725 rpm is 279 g mm; the flake has 1250.
    assert_eq!(
        owed(Some(Kilograms(8.0)), Some(6.3)),
        Ok(Some(Verdict::Beyond))
    );
    assert_eq!(
        owed(Some(Kilograms(40.0)), Some(6.3)),
        Ok(Some(Verdict::Within))
    );
    assert_eq!(owed(None, Some(6.3)), Ok(Some(Verdict::NotKnownYet)));
    assert_eq!(
        owed(Some(Kilograms(8.0)), None),
        Ok(Some(Verdict::NotKnownYet))
    );
}

proptest! {
    #[test]
    fn units_come_back(u in 1e-6..1e6f64) {
        prop_assert!((g_mm(oz_in(u)) - u).abs() <= u * 1e-12);
    }

    #[test]
    fn more_mass_is_never_better(
        mass in 0.1..500.0f64, more in 0.0..500.0f64, wheel in 0.5..100.0f64, speed in 100.0..4000.0f64,
    ) {
        let judged = |mass| {
            let asked = Debris {
                mass_g: mass,
                radius: Millimetres(200.0),
                speed: Rpm(speed),
                wheel: Some(Kilograms(wheel)),
                grade_mm_s: Some(16.0),
            };
            debris(&asked).expect("figures").working.verdict().map(Verdict::severity)
        };
        prop_assert!(judged(mass + more) >= judged(mass));
    }

    #[test]
    fn nothing_panics(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
        let _ = debris(&Debris {
            mass_g: a,
            radius: Millimetres(b),
            speed: Rpm(c),
            wheel: Some(Kilograms(d)),
            grade_mm_s: Some(a),
        });
        let _ = unbalance(&Unbalance {
            grade_mm_s: a,
            mass: Kilograms(b),
            speed: Rpm(c),
            radius: Some(Millimetres(d)),
            residual_g_mm: Some(a),
        });
        if let Ok(found) = permissible(a, Kilograms(b), Rpm(c)) {
            prop_assert!(found.u_per_g_mm.is_finite() && found.u_per_g_mm > 0.0);
        }
    }
}
