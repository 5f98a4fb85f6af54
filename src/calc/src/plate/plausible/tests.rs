use super::plausible;
use crate::plate::read;
use crate::working::Verdict::{self, Beyond, Within, WithinNote};

fn judged(text: &str, key: &str) -> Option<Verdict> {
    plausible(&read(text).plate).line(key)?.verdict
}

#[test]
fn a_true_plate_is_within() {
    let text = "1/6 HP 1075 RPM 208-230 V 1.1 A 60 HZ 1 PH CWSE 5 MFD/370 V TEAO INS B PSC FR 48Y";
    let working = plausible(&read(text).plate);
    assert_eq!(working.verdict(), Some(Within), "{:#?}", working.lines);
    let text = "1 HP 1725 RPM 115/230 V 13.6/6.8 A 60 HZ 1 PH FR 56C SF 1.15 CAP START CODE L";
    let working = plausible(&read(text).plate);
    assert_eq!(working.verdict(), Some(Within), "{:#?}", working.lines);
    let text =
        "0.75 kW 3~ 230/400 V 3.3/1.9 A 50 Hz 1420 min-1 cos phi 0.77 eff 77 % frame 80 polyphase";
    let working = plausible(&read(text).plate);
    assert_eq!(working.verdict(), Some(Within), "{:#?}", working.lines);
}

#[test]
fn what_cannot_be_true_is_beyond() {
    let psc = "PSC 1 PH 60 HZ";
    assert_eq!(
        judged(&format!("{psc} 1/2 HP 230 V 0.5 A"), "power"),
        Some(Beyond)
    );
    assert_eq!(
        judged(
            &format!("{psc} 1/60 HP 120 V 0.35 A INPUT 45 W"),
            "input_power_factor"
        ),
        Some(Beyond)
    );
    assert_eq!(judged(&format!("{psc} 3600 RPM"), "poles"), Some(Beyond));
    assert_eq!(judged("split phase 60 HZ 1800 RPM", "poles"), Some(Beyond));
    assert_eq!(
        judged("1 HP 115/230 V 6.8/13.6 A", "dual_rating"),
        Some(Beyond)
    );
    assert_eq!(judged("shaded pole 5 MFD", "capacitor"), Some(Beyond));
    assert_eq!(
        judged("230 V 10 MFD CAP VOLTS 165", "capacitor_volts"),
        Some(Beyond)
    );
    assert_eq!(judged("INS A RISE 80 C", "rise"), Some(Beyond));
    assert_eq!(judged("INS B RISE 80 C AMB 65 C", "rise"), Some(Beyond));
    assert_eq!(judged("SF 0.8", "service_factor"), Some(Beyond));
    assert_eq!(judged("FR 48 10 HP", "frame"), Some(Beyond));
    assert_eq!(judged("PF 1.07", "marked_power_factor"), Some(Beyond));
    assert_eq!(judged("3 PH PSC", "phases"), Some(Beyond));
    assert_eq!(
        judged("4 POLES 1140 RPM 60 HZ", "marked_poles"),
        Some(Beyond)
    );
}

#[test]
fn what_is_unusual_is_noted() {
    assert_eq!(judged("PSC 600 RPM 60 HZ", "poles"), Some(WithinNote));
    assert_eq!(
        judged("split phase 1625 RPM 60 HZ", "poles"),
        Some(WithinNote)
    );
    assert_eq!(judged("INS B RISE 85 C", "rise"), Some(WithinNote));
    assert_eq!(judged("SF 1.5", "service_factor"), Some(WithinNote));
}

#[test]
fn a_set_speed_tells_no_poles_and_what_lacks_is_asked() {
    assert_eq!(judged("ECM 1800 RPM", "poles"), None);
    let working = plausible(&read("1/4 HP 1075 RPM").plate);
    let missing: Vec<&str> = working.missing.iter().map(|m| &*m.what).collect();
    assert_eq!(missing, ["Frequency", "Volts and full-load amperes"]);
}
