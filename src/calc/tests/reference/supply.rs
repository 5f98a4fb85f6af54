//! Reference tables: supply, insulation, windings and capacitors.

mod voltage;
mod windings;

use super::table::Check;

tables! {
    insulation_resistance: "electrical/insulation_resistance_ieee43.csv",
        "IEEE 43, kV + 1 grade A, 100 and 5 megohm C", Check::Rows(windings::insulation_row);
    insulation_test_voltage: "electrical/insulation_test_voltage_ieee43.csv",
        "IEEE 43, grade C", Check::Rows(windings::test_voltage_row);
    voltage_limits: "electrical/voltage_limits_c84_1.csv",
        "ANSI C84.1 (1995 form), grade C", Check::Rows(voltage::voltage_limits_row);
    nominal_voltage: "electrical/voltage_nominal_vs_nameplate.csv",
        "IEEE 141 table 3-7, grade C, 600, 480 and 240 V A", Check::Rows(voltage::nominal_row);
    unbalance_derating: "electrical/voltage_unbalance_derating_mg1.csv",
        "NEMA MG 1 curve, grade C", Check::Rows(voltage::derating_row);
    iec_voltage: "electrical/iec/nominal_voltage_and_motor_limits.csv",
        "IEC 60038 grade A, IEC 60034-1 zones from memory", Check::Rows(voltage::iec_row);
    voltage_tolerance: "mechanical/voltage_tolerance_cases.csv",
        "NEMA MG 1 12.44, confirmed", Check::Rows(voltage::tolerance_row);
    voltage_unbalance: "mechanical/voltage_unbalance_golden.csv",
        "NEMA MG 1 definition, computed", Check::Rows(voltage::unbalance_row);
    derating_curve: "mechanical/voltage_unbalance_derating.csv",
        "NEMA MG 1 curve, read off", Check::Rows(voltage::curve_row);
    insulation_limits: "mechanical/insulation_resistance_limits.csv",
        "IEEE 43-2013, confirmed", Check::Rows(windings::insulation_limit_row);
    insulation_correction: "mechanical/insulation_resistance_correction_golden.csv",
        "IEEE 43 halving rule, computed", Check::Rows(windings::correction_row);
    insulation_classes: "mechanical/insulation_classes.csv",
        "NEMA MG 1 12.42 and 12.43, not ventilated and small frames from memory",
        Check::Rows(windings::class_row);
    insulation_life: "mechanical/insulation_life_golden.csv",
        "halving for each 10 K, computed", Check::Rows(windings::life_row);
    winding_temperature: "mechanical/winding_temperature_golden.csv",
        "NEMA MG 1, IEC 60034-1, computed", Check::Rows(windings::temperature_row);
    winding_resistance: "mechanical/winding_resistance_correction_golden.csv",
        "NEMA MG 1, computed", Check::Rows(windings::resistance_row);
    phase_balance: "mechanical/phase_resistance_balance_golden.csv",
        "common practice, computed", Check::Rows(windings::balance_row);
    capacitor_measured: "mechanical/capacitor_measured_golden.csv",
        "reactance of a capacitor, computed", Check::Rows(windings::capacitor_row);
    capacitor_tolerance: "mechanical/capacitor_tolerance_cases.csv",
        "tolerance of the label, computed", Check::Rows(windings::capacitor_tolerance_row);
    ambient_altitude: "mechanical/ambient_altitude_rules.csv",
        "NEMA MG 1 12.42, 12.43, 14.4 from memory; 14.37.1 confirmed", Check::Rows(windings::ambient_row);
}
