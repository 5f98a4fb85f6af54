//! A machine with a burnt-out motor, its circuit, four candidates and a job handed to the
//! technician: what the fit and circuit tests work on.

use crate::app::{NOON, TestApp};
use brasstag::jobs::body::Body;
use brasstag::jobs::record::{self, NewEntry, Outcome};
use brasstag::machines::MachineId;
use brasstag::motors::MotorId;
use brasstag::people::{self, Person};
use brasstag::shelf::form::MotorChange;
use brasstag::shelf::queries;
use calc::installation::*;
use calc::plate::*;
use calc::units::*;
use rust_decimal::Decimal;
use time::macros::date;

pub struct Floor {
    pub app: TestApp,
    pub job: i64,
    /// On the shelf, the same as the old one.
    pub same: i64,
    /// On a list, its shaft too long.
    pub long: i64,
    /// On a list, three-phase.
    pub wrong: i64,
    /// On the shelf, its power not known.
    pub doubtful: i64,
}

pub fn old_plate() -> Plate {
    Plate {
        power: Field::read(Watts::from_hp(0.25)),
        volts: Field::read(vec![Volts(115.0)]),
        amps: Field::read(vec![Amps(4.2)]),
        phases: Field::read(1),
        frequency: Field::read(vec![Hertz(60.0)]),
        speeds: Field::read(vec![Rpm(1075.0)]),
        motor_type: Field::read(MotorType::PermanentSplitCapacitor),
        rotation: Field::read(Rotation {
            direction: Direction::Clockwise,
            seen_from: SeenFrom::ShaftEnd,
            reversible: true,
        }),
        frame: Field::read("48".to_owned()),
        mount: Field::read(Mount::Studs),
        bolt_circle: Field::read(Millimetres(139.7)),
        stud_length: Field::read(Millimetres(25.4)),
        stud_count: Field::read(4),
        stud_thread: Field::read("8-32".to_owned()),
        stud_end: Field::read(StudEnd::ShaftEnd),
        shaft_diameter: Field::read(Millimetres(12.7)),
        shaft_length: Field::read(Millimetres(76.2)),
        shaft_form: Field::read(ShaftForm::Flat),
        double_shaft: Field::read(false),
        body_diameter: Field::read(Millimetres(142.0)),
        body_length: Field::read(Millimetres(150.0)),
        enclosure: Field::read(Enclosure::TotallyEnclosedAirOver),
        ambient: Field::read(Celsius(60.0)),
        insulation: Field::read(InsulationClass::B),
        duty: Field::read(Duty::Continuous),
        service_factor: Field::read(1.0),
        rise: Field::Unknown,
        protection: Field::read(Protection::Automatic),
        bearing: Field::read(Bearing::Ball),
        position: Field::read(Position::Any),
        speed_control: Field::read(false),
        capacitor: Field::read(Microfarads(5.0)),
        capacitor_volts: Field::read(Volts(370.0)),
        capacitor_included: Field::read(true),
        ..Plate::default()
    }
}

fn machine() -> Installation {
    Installation {
        driven: Driven {
            drive: Some(Drive::Direct),
            wheel_limit: Some(Rpm(1400.0)),
            hub_bore: Some(Millimetres(12.7)),
            hub_length: Some(Millimetres(50.0)),
            hub_keyway: Some(false),
            stud_needed: Some(Millimetres(15.0)),
            rotation: Some(Direction::Clockwise),
            shaft_power: Some(Watts(150.0)),
            shaft_power_at: Some(Rpm(1080.0)),
            second_shaft_used: Some(false),
            reverses: Some(false),
            ..Driven::default()
        },
        site: Site {
            nominal_volts: Some(Volts(120.0)),
            phases: Some(1),
            frequency: Some(Hertz(60.0)),
            ambient: Some(Celsius(40.0)),
            surroundings: Some(Surroundings::Dusty),
            in_air_stream: Some(true),
            position: Some(Position::Horizontal),
            free_length: Some(Millimetres(250.0)),
            free_diameter: Some(Millimetres(200.0)),
            shaft_clearance: Some(Millimetres(90.0)),
            control: Some(Control::None),
            taps_used: Some(1),
            restart_can_hurt: Some(false),
            hazardous: Some("none".to_owned()),
            continuous: Some(true),
            ..Site::default()
        },
        disconnect: Some(Disconnect {
            kind: DisconnectKind::AcSnapSwitch,
            rating: Some(Decimal::from(20)),
            horsepower: None,
            in_sight: Some(true),
        }),
        overload: Some(Overload {
            kind: OverloadKind::InMotor,
            setting: None,
            range: None,
            manual_reset: None,
        }),
    }
}

/// A circuit with this much other continuous load on it.
pub fn circuit(other: i64) -> Circuit {
    Circuit {
        volts: Some(Volts(120.0)),
        phases: Some(1),
        device: Some(DeviceKind::InverseTimeBreaker),
        device_rating: Some(Decimal::from(15)),
        poles: Some(1),
        size: Some("12".to_owned()),
        metal: Some(Metal::Copper),
        insulation: Some(Celsius(90.0)),
        terminals: Some(Celsius(75.0)),
        one_way: Some(Metres(20.0)),
        ambient: Some(Celsius(30.0)),
        conductors_in_raceway: Some(2),
        other_continuous: Some(Decimal::from(other)),
        other_noncontinuous: Some(Decimal::ZERO),
        other_motors: Some(Vec::new()),
        shares_outlets: Some(false),
        ..Circuit::default()
    }
}

/// A statement of this test's own; it lives as long as the test program.
pub async fn run(app: &TestApp, sql: String) {
    app.run(sql.leak()).await;
}

fn change(name: &str, plate: Plate) -> MotorChange {
    MotorChange {
        name: name.to_owned(),
        plate,
        plate_text: String::new(),
        made: "made".to_owned(),
        note: String::new(),
        bin: None,
        held: 0,
        price: None,
        lead_days: None,
    }
}

async fn motor(app: &TestApp, name: &str, plate: Plate) -> MotorId {
    let json = serde_json::to_string(&plate).expect("json");
    let mut tx = app.db().begin_write().await.expect("a transaction");
    let id = queries::insert_motor(&mut tx, &change(name, plate), &json)
        .await
        .expect("a motor");
    tx.commit().await.expect("commit");
    id
}

async fn person(app: &TestApp, name: &str) -> Person {
    let id = app.person(name).await;
    people::queries::find(app.db(), id)
        .await
        .expect("people")
        .expect("a person")
}

impl Floor {
    pub async fn lay() -> Floor {
        let app = TestApp::start().await;
        let built_with = motor(&app, "Built with", old_plate()).await;
        let copied = Plate {
            speeds: Field::read(vec![Rpm(1625.0)]),
            ..old_plate()
        };
        let copied = motor(&app, "Copied mistake", copied).await;
        let long = Plate {
            shaft_length: Field::read(Millimetres(200.0)),
            ..old_plate()
        };
        let wrong = Plate {
            phases: Field::read(3),
            volts: Field::read(vec![Volts(460.0)]),
            motor_type: Field::read(MotorType::ThreePhaseInduction),
            ..old_plate()
        };
        let doubtful = Plate {
            power: Field::Unknown,
            ..old_plate()
        };
        let same = motor(&app, "Quarter horse 1075", old_plate()).await;
        let long = motor(&app, "Long-shaft 1075", long).await;
        let wrong = motor(&app, "Three-phase 1075", wrong).await;
        let doubtful = motor(&app, "Worn plate", doubtful).await;
        let (facts, feed) = (machine(), circuit(0));
        let facts = serde_json::to_string(&facts).expect("json");
        let feed = serde_json::to_string(&feed).expect("json");
        let sql = format!(
            "INSERT INTO places (kind, name) VALUES ('roof', 'Mill roof');
             INSERT INTO panels (name, place_id, supply) VALUES ('LP-1', 1, '120/240 V');
             INSERT INTO circuits (panel_id, number, label_read, facts)
                 VALUES (1, '7', 'KILN EXH', '{feed}');
             INSERT INTO machines (tag, name, kind, place_id, facts, circuit_id, design_motor_id,
                     fitted_motor_id, created_at)
                 VALUES ('EF-3', 'Kiln extract', 'fan', 1, '{facts}', 1, {}, {}, {NOON});
             INSERT INTO shelf_motors (motor_id, bin, held, price_minor)
                 VALUES ({}, 'K-2', 2, 14850), ({}, 'K-9', 1, NULL);
             INSERT INTO supplier_lists (name, read_on) VALUES ('Harbour Supply', '2026-11-02');
             INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)
                 VALUES (1, {}, 12900, 3), (1, {}, 20000, NULL)",
            built_with.0, copied.0, same.0, doubtful.0, long.0, wrong.0
        );
        run(&app, sql).await;
        let job = job(&app).await;
        Floor {
            app,
            job,
            same: same.0,
            long: long.0,
            wrong: wrong.0,
            doubtful: doubtful.0,
        }
    }

    pub fn page(&self, rest: &str) -> String {
        format!("/jobs/{}/{rest}", self.job)
    }
}

/// Reported, planned on the machine and handed to the technician.
async fn job(app: &TestApp) -> i64 {
    let entry = |body: Body| NewEntry {
        id: record::new_id(NOON),
        body,
        corrects: None,
        device_at: None,
        seen: None,
    };
    let reported = Body::Reported {
        place_id: Some(1),
        machine_id: None,
        due_item_id: None,
        words: "It hums and does not turn".to_owned(),
        reporter: "The potter".to_owned(),
        contact: String::new(),
        urgency: Default::default(),
    };
    let supervisor = person(app, "supervisor").await;
    let outcome = record::report(&app.state, None, entry(reported))
        .await
        .expect("a report");
    let Outcome::Added(id) = outcome else {
        panic!("{outcome:?}")
    };
    let planned = Body::Planned {
        machine_id: MachineId(1),
        scope: "Replace the motor".to_owned(),
        minutes: Some(120),
        steps: String::new(),
    };
    let to = app.person("technician").await;
    let handed = Body::HandedOut {
        to,
        on: date!(2026 - 11 - 25),
        partner: None,
    };
    for body in [planned, handed] {
        let outcome = record::add(&app.state, id, &supervisor, entry(body))
            .await
            .expect("added");
        assert_eq!(outcome, Outcome::Added(id));
    }
    id.0
}
