//! The lists of a calculation sheet, laid out so that each row can be redone by hand.

use acceptance::{Sheet, Table};
use logbook::Moment;
use logbook::source::{DishDesign, Facet};
use quantity::{Decimal, Dimension};
use report::model;

use super::figures::{Columns, in_unit};

/// So many of the largest errors stand on the sheet itself; all of them in the list of each facet.
const WORST: usize = 12;

/// A sheet's lists: the worst facets first, then each list as the calculation gave it.
pub(super) fn tables(sheet: &Sheet, design: Option<&DishDesign>) -> Vec<model::SheetTable> {
    let worst = worst_facets(sheet);
    let lists = sheet.tables.iter().map(|table| {
        let places = design.filter(|_| table.name == "facets");
        shown(&with_places(table, places))
    });
    worst.into_iter().chain(lists).collect()
}

/// The facets with the largest errors.
fn worst_facets(sheet: &Sheet) -> Option<model::SheetTable> {
    let table = sheet.tables.iter().find(|table| table.name == "facets")?;
    let sizes = Columns::of(sheet, "facets")?.column("size mrad")?;
    let mut sized: Vec<(Decimal, &Vec<String>)> = sizes
        .iter()
        .zip(&table.rows)
        .filter_map(|(size, row)| Some((size.parse().ok()?, row)))
        .collect();
    if sized.len() <= WORST {
        return None;
    }
    // The sort keeps the order of the design where two are equal.
    sized.sort_by(|(a, _), (b, _)| b.cmp(a));
    let of = sized.len();
    sized.truncate(WORST);
    let few = Table {
        title: format!("The {WORST} largest errors of {of} facets measured"),
        rows: sized.into_iter().map(|(_, row)| row.clone()).collect(),
        ..table.clone()
    };
    Some(shown(&few))
}

/// Takes a cell out of the design of a facet.
type Cell = fn(&Facet) -> Option<String>;

/// The list of facets with the place and aim point of each from the design: without them nobody
/// can redo a row.
fn with_places(table: &Table, design: Option<&DishDesign>) -> Table {
    let mut table = table.clone();
    let Some(design) = design else { return table };
    let Some(name) = table.columns.iter().position(|column| column == "facet") else {
        return table;
    };
    let parts: [(&str, Cell); 4] = [
        ("r m", |f| in_unit(&f.radius, Dimension::Length, "m", 4)),
        ("β °", |f| in_unit(&f.bearing, Dimension::Angle, "°", 4)),
        ("aim x mm", |f| in_unit(&f.aim_x, Dimension::Length, "mm", 3)),
        ("aim y mm", |f| in_unit(&f.aim_y, Dimension::Length, "mm", 3)),
    ];
    for (place, (head, part)) in parts.into_iter().enumerate() {
        let of = |row: &Vec<String>| {
            let facet = design.facets.iter().find(|f| row.get(name) == Some(&f.id));
            facet.and_then(part).unwrap_or_default()
        };
        let cells = same_places(table.rows.iter().map(of).collect());
        table.columns.insert(name + 1 + place, head.to_owned());
        for (row, cell) in table.rows.iter_mut().zip(cells) {
            row.insert((name + 1 + place).min(row.len()), cell);
        }
    }
    // A facet's name that begins with its rack says it already.
    let racks = table.columns.iter().position(|column| column == "rack");
    let named = |rack: usize, row: &Vec<String>| match (row.get(name), row.get(rack)) {
        (Some(facet), Some(rack)) => facet.starts_with(rack.as_str()),
        _ => false,
    };
    if let Some(rack) = racks.filter(|rack| table.rows.iter().all(|row| named(*rack, row))) {
        table.columns.remove(rack);
        for row in &mut table.rows {
            row.remove(rack);
        }
    }
    table
}

/// Decimals with as many places as the longest of them, so that they stand below each other.
fn same_places(cells: Vec<String>) -> Vec<String> {
    let places = |cell: &String| cell.split_once('.').map_or(0, |(_, after)| after.len());
    let most = cells.iter().map(places).max().unwrap_or(0);
    let longer = |cell: String| match cell.parse::<Decimal>() {
        Ok(number) => format!("{number:.most$}"),
        Err(_) => cell,
    };
    cells.into_iter().map(longer).collect()
}

/// A list as printed. What is the same in every row is said once above it; a column with nothing
/// in it is left out; a unit that every cell of a column has goes into its head.
fn shown(table: &Table) -> model::SheetTable {
    let (mut columns, mut rows) = (Vec::new(), vec![Vec::new(); table.rows.len()]);
    let mut same = Vec::new();
    for (place, head) in table.columns.iter().enumerate() {
        let cells: Vec<&str> =
            table.rows.iter().map(|row| row.get(place).map_or("", String::as_str)).collect();
        let first = cells.first().copied().unwrap_or_default();
        let alike = cells.len() > 3 && cells.iter().all(|cell| *cell == first);
        if alike && first.is_empty() {
            continue;
        }
        if alike && place > 0 {
            same.push(format!("{head}: {first}"));
            continue;
        }
        if let Some((day, times)) = moments(&cells) {
            columns.push(format!("{head}, {day}"));
            for (row, time) in rows.iter_mut().zip(times) {
                row.push(time);
            }
            continue;
        }
        let unit = common_unit(&cells);
        columns.push(match unit {
            Some(unit) => format!("{head} {unit}"),
            None => head.clone(),
        });
        for (row, cell) in rows.iter_mut().zip(cells) {
            let bare = unit.and_then(|unit| cell.strip_suffix(unit)).unwrap_or(cell).trim_end();
            row.push(bare.to_owned());
        }
    }
    let note = match same.is_empty() {
        true => String::new(),
        false => format!("In every row: {}.", same.join("; ")),
    };
    model::SheetTable { title: table.title.clone(), note, columns, rows }
}

/// A column of moments of one offset: what they share, and what is left of each.
fn moments(cells: &[&str]) -> Option<(String, Vec<String>)> {
    let read = |cell: &&str| cell.contains('T').then(|| Moment::parse(cell).ok())?;
    let all: Vec<_> = cells.iter().map(|cell| Some(read(cell)?.at())).collect::<Option<_>>()?;
    let first = all.first()?;
    if all.iter().any(|moment| moment.offset() != first.offset()) {
        return None;
    }
    let one_day = all.iter().all(|moment| moment.date_naive() == first.date_naive());
    let (shared, own) = match one_day {
        true => ("%Y-%m-%d UTC%:z", "%H:%M:%S"),
        false => ("UTC%:z", "%Y-%m-%d %H:%M:%S"),
    };
    let shared = first.format(shared).to_string().replace("UTC-", "UTC−");
    Some((shared, all.iter().map(|moment| moment.format(own).to_string()).collect()))
}

/// The unit that every cell with a text ends in, after a number.
fn common_unit<'c>(cells: &[&'c str]) -> Option<&'c str> {
    let mut unit = None;
    for cell in cells.iter().filter(|cell| !cell.is_empty()) {
        let (number, its) = cell.split_once(' ')?;
        let plain = number.replace(',', ".");
        if plain.parse::<Decimal>().is_err() || unit.is_some_and(|unit| unit != its) {
            return None;
        }
        unit = Some(its);
    }
    unit
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(columns: &[&str], rows: &[[&str; 3]]) -> Table {
        Table {
            name: "t".to_owned(),
            title: "T".to_owned(),
            columns: columns.iter().map(|c| (*c).to_owned()).collect(),
            rows: rows.iter().map(|r| r.iter().map(|c| (*c).to_owned()).collect()).collect(),
        }
    }

    #[test]
    fn what_is_the_same_everywhere_is_said_once_and_nothing_is_lost() {
        let rows = [
            ["F1", "measured", "0,6 mm"],
            ["F2", "measured", "-6.9 mm"],
            ["F3", "measured", ""],
            ["F4", "measured", "1 mm"],
        ];
        let shown = shown(&table(&["facet", "state", "dx"], &rows));
        assert_eq!(shown.columns, ["facet", "dx mm"]);
        assert_eq!(shown.note, "In every row: state: measured.");
        assert_eq!(shown.rows, [["F1", "0,6"], ["F2", "-6.9"], ["F3", ""], ["F4", "1"]]);
    }

    #[test]
    fn what_moments_share_goes_into_the_head() {
        let day = ["2026-08-24T07:00:00-04:00", "2026-08-24T08:00:00-04:00"];
        let (shared, own) = moments(&day).unwrap();
        assert_eq!((shared.as_str(), own[1].as_str()), ("2026-08-24 UTC−04:00", "08:00:00"));
        let night = ["2026-08-24T23:00:00-04:00", "2026-08-25T01:00:00-04:00"];
        let (shared, own) = moments(&night).unwrap();
        assert_eq!((shared.as_str(), own[1].as_str()), ("UTC−04:00", "2026-08-25 01:00:00"));
        // Where clocks changed, or a cell is no moment, each stays as it is.
        assert!(moments(&["2026-08-24T23:00:00-04:00", "2026-08-25T01:00:00-03:00"]).is_none());
        assert!(moments(&["2026-08-24T23:00:00-04:00", "none"]).is_none());
    }

    #[test]
    fn a_unit_of_some_cells_only_stays_with_them() {
        let rows = [["F1", "a", "1 mm"], ["F2", "b", "2 in"], ["F3", "", "3 mm"]];
        let shown = shown(&table(&["facet", "k", "dx"], &rows));
        assert_eq!(shown.columns, ["facet", "k", "dx"]);
        assert_eq!(shown.rows[1], ["F2", "b", "2 in"]);
    }
}
