//! Which column of ours a column of a file is: by our names, by what the trade calls it, and by the
//! unit that stands in its head.

use super::columns::{Column, Register};
use crate::measure;

/// Other names that spreadsheets give: as they are compared, our field, the unit they imply.
const OTHERS: &[(&str, &str, &str)] = &[
    ("assettag", "tag", ""),
    ("equipmentno", "tag", ""),
    ("equipmentnumber", "tag", ""),
    ("equipmenttag", "tag", ""),
    ("machineno", "tag", ""),
    ("unitno", "tag", ""),
    ("number", "tag", ""),
    ("description", "name", ""),
    ("equipment", "name", ""),
    ("machine", "name", ""),
    ("motor", "name", ""),
    ("item", "name", ""),
    ("type", "kind", ""),
    ("location", "place", ""),
    ("room", "place", ""),
    ("areaserved", "serves", ""),
    ("critical", "criticality", ""),
    ("priority", "criticality", ""),
    ("importance", "criticality", ""),
    ("dateinstalled", "installed_on", ""),
    ("installed", "installed_on", ""),
    ("installdate", "installed_on", ""),
    ("parent", "within", ""),
    ("parent", "part_of", ""),
    ("breaker", "circuit", ""),
    ("circuitno", "number", ""),
    ("circuitnumber", "number", ""),
    ("label", "label_read", ""),
    ("wiresize", "size", ""),
    ("awg", "size", ""),
    ("part", "name", ""),
    ("partname", "name", ""),
    ("partnumber", "maker_number", ""),
    ("bin", "bins", ""),
    ("quantity", "on_hand", ""),
    ("qty", "on_hand", ""),
    ("onhand", "on_hand", ""),
    ("stock", "on_hand", ""),
    ("reorderpoint", "order_at", ""),
    ("tag", "machine", ""),
    ("equipment", "machine", ""),
    ("position", "position", ""),
    ("quantity", "amount", ""),
    ("qty", "amount", ""),
    ("task", "action", ""),
    ("interval", "count", ""),
    ("frequency", "count", ""),
    ("startdate", "anchor_on", ""),
    ("duration", "minutes", ""),
    ("building", "within", ""),
    ("access", "access_note", ""),
    ("shelf", "bin", ""),
    ("quantity", "held", ""),
    ("qty", "held", ""),
    ("onhand", "held", ""),
    ("stock", "held", ""),
    ("cost", "price", ""),
    ("unitprice", "price", ""),
    ("supplier", "list", ""),
    ("vendor", "list", ""),
    ("leadtime", "lead_days", ""),
    ("leadtimedays", "lead_days", ""),
    ("remarks", "note", ""),
    ("notes", "note", ""),
    ("comment", "note", ""),
    ("hp", "power", "hp"),
    ("horsepower", "power", "hp"),
    ("kw", "power", "kW"),
    ("watts", "power", "W"),
    ("voltage", "volts", ""),
    ("v", "volts", ""),
    ("fla", "amps", ""),
    ("flc", "amps", ""),
    ("a", "amps", ""),
    ("current", "amps", ""),
    ("ph", "phases", ""),
    ("phase", "phases", ""),
    ("hz", "frequency", ""),
    ("rpm", "speeds", ""),
    ("speed", "speeds", ""),
    ("shaft", "shaft_diameter", ""),
    ("shaftdia", "shaft_diameter", ""),
    ("sf", "service_factor", ""),
    ("insulationclass", "insulation", ""),
    ("wheeldia", "wheel_diameter", ""),
    ("eff", "efficiency", ""),
    ("pf", "power_factor", ""),
];

/// As names are compared: letters and digits, small.
fn bare(head: &str) -> String {
    head.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// The head without the unit in it, and that unit: `Shaft (mm)`, `Shaft, mm`, `Shaft [mm]`.
fn parted(head: &str) -> (&str, &str) {
    let head = head.trim();
    let closed = head.strip_suffix([')', ']']);
    let cut = match closed {
        Some(open) => open.rsplit_once(['(', '[']),
        None => head.rsplit_once(','),
    };
    cut.map_or((head, ""), |(name, unit)| (name.trim(), unit.trim()))
}

fn named<'a>(columns: &'a [Column], name: &str) -> Option<(&'a Column, &'static str)> {
    let name = bare(name);
    if name.is_empty() {
        return None;
    }
    let own = |c: &&Column| bare(&c.name) == name;
    let label = |c: &&Column| bare(c.label) == name;
    if let Some(column) = columns
        .iter()
        .find(own)
        .or_else(|| columns.iter().find(label))
    {
        return Some((column, ""));
    }
    OTHERS
        .iter()
        .filter(|(other, ..)| *other == name)
        .find_map(|(_, field, unit)| Some((columns.iter().find(|c| c.field == *field)?, *unit)))
}

/// The field that each column of a file is about; empty for those that are not read. A field is
/// taken once, by the first column that names it.
pub fn matched(register: Register, heads: &[String]) -> Vec<String> {
    let columns = register.columns();
    let mut taken = Vec::new();
    let mut matched = Vec::new();
    for head in heads {
        let found = named(&columns, head).or_else(|| named(&columns, parted(head).0));
        let field = match found {
            Some((column, _)) if !taken.contains(&column.field) => {
                taken.push(column.field);
                column.field
            }
            _ => "",
        };
        matched.push(field.to_owned());
    }
    matched
}

/// The unit that a column's head gives to bare numbers beneath it.
pub fn unit_of(column: &Column, head: &str) -> String {
    if !column.measured {
        return String::new();
    }
    let (name, unit) = parted(head);
    let columns = std::slice::from_ref(column);
    match (unit, named(columns, name)) {
        ("", Some((_, implied))) => implied.to_owned(),
        (unit, _) => unit.to_owned(),
    }
}

/// A cell with its column's unit, where it is a number alone.
pub fn with_unit(cell: &str, unit: &str) -> String {
    if unit.is_empty() || measure::number(cell).is_none() {
        return cell.to_owned();
    }
    format!("{cell} {unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_found_by_our_names_and_the_trades() {
        let heads = [
            "Asset Tag",
            "DESCRIPTION",
            "Type",
            "Location",
            "before you go",
            "Colour",
            "Tag",
        ];
        let heads: Vec<String> = heads.iter().map(|h| (*h).to_owned()).collect();
        let found = matched(Register::Machines, &heads);
        assert_eq!(
            found,
            ["tag", "name", "kind", "place", "before_you_go", "", ""]
        );
        let heads = [
            "Motor".to_owned(),
            "HP".to_owned(),
            "Shaft diameter (mm)".to_owned(),
        ];
        let found = matched(Register::Shelf, &heads);
        assert_eq!(found, ["name", "power", "shaft_diameter"]);
    }

    #[test]
    fn the_unit_of_a_head_goes_to_its_numbers() {
        let columns = Register::Shelf.columns();
        let column = |field| columns.iter().find(|c| c.field == field).expect("column");
        assert_eq!(unit_of(column("power"), "HP"), "hp");
        assert_eq!(unit_of(column("power"), "Power (kW)"), "kW");
        assert_eq!(unit_of(column("shaft_diameter"), "Shaft, mm"), "mm");
        assert_eq!(unit_of(column("shaft_diameter"), "Shaft diameter"), "");
        assert_eq!(unit_of(column("volts"), "Volts (V)"), "", "volts are volts");
        assert_eq!(with_unit("1/2", "hp"), "1/2 hp");
        assert_eq!(with_unit("370 W", "hp"), "370 W");
    }

    #[test]
    fn every_other_name_leads_to_a_column() {
        for (other, field, _) in OTHERS {
            let leads = |r: &&Register| r.columns().iter().any(|c| c.field == *field);
            assert!(Register::ALL.iter().any(|r| leads(&r)), "{other}");
        }
    }
}
