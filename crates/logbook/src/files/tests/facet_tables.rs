//! Tables of one line a facet.

use super::*;

fn columns() -> Vec<Column> {
    ["dx", "dy"]
        .map(|id| Column {
            id: id.into(),
            dimension: Dimension::Length,
            largest: Some("0.5".into()),
        })
        .to_vec()
}

fn table_form() -> FacetForm {
    FacetForm { columns: columns(), ..FacetForm::default() }
}

fn read_table(text: &str) -> FacetFile {
    read_with(text, &table_form())
}

fn read_with(text: &str, form: &FacetForm) -> FacetFile {
    let file = facet_table(text.as_bytes(), form).unwrap();
    assert_eq!(file.question, None);
    assert_adds_up(&file.lines);
    assert_eq!(file.rows.len(), file.lines.used);
    file
}

fn shown(file: &FacetFile) -> Vec<(String, Vec<String>)> {
    let values = |row: &FacetRow| row.values.iter().map(|value| value.plain.clone()).collect();
    file.rows.iter().map(|row| (row.facet.clone(), values(row))).collect()
}

/// Either separator, either decimal mark, any order of columns; the unit stands in the head.
#[test]
fn forms_of_one_table() {
    let wanted = [
        ("R09/F01".to_owned(), vec!["12.3".to_owned(), "-4.0".to_owned()]),
        ("R09/F02".to_owned(), vec!["0.5".to_owned(), "3.25".to_owned()]),
    ];
    for text in [
        "facet;dx_mm;dy_mm\nR09/F01;12,3;-4,0\nR09/F02;0,5;3,25\n",
        "facet;dx_mm;dy_mm\nR09/F01;12.3;−4.0\nR09/F02;0.5;3.25\n",
        "facet,dx_mm,dy_mm\nR09/F01,12.3,-4.0\nR09/F02,0.5,3.25\n",
        "facet,dx_mm,dy_mm\nR09/F01,\"12,3\",\"-4,0\"\nR09/F02,\"0,5\",\"3,25\"\n",
        "Facet\tdx (mm)\tdy [mm]\nR09/F01\t12.3\t-4.0\nR09/F02\t0.5\t3.25",
        "night of 1 Sep;;\n\nnote;dy_mm;facet;dx_mm\n;-4,0;R09/F01;12,3\nx;3,25;R09/F02;0,5\n",
    ] {
        let file = read_table(text);
        assert_eq!(shown(&file), wanted, "{text}");
        assert_eq!(file.units, ["mm", "mm"]);
        assert_eq!(file.rows[0].values[0].base, "0.0123");
    }
}

/// The unit is never guessed; neither is the mark when every number can be read two ways.
#[test]
fn what_is_asked() {
    let text = "facet;dx;dy\nR09/F01;12,3;-4,0\n";
    let question = facet_table(text.as_bytes(), &table_form()).unwrap().question.unwrap();
    assert_eq!(question.id, "unit:dx");
    let mut form = table_form();
    for id in ["unit:dx", "unit:dy"] {
        form.answers.insert(id.into(), "cm".into());
    }
    assert_eq!(read_with(text, &form).rows[0].values[0].base, "0.123");
    let open = "facet;dx_mm;dy_mm\nR09/F01;1,125;2,250\n";
    let question = facet_table(open.as_bytes(), &table_form()).unwrap().question.unwrap();
    assert_eq!(question.id, "decimal");
    let wrong = "facet;dx_mrad;dy_mrad\nR09/F01;1,1;2,2\n";
    assert_eq!(facet_table(wrong.as_bytes(), &table_form()).unwrap_err().code, "file_wrong_unit");
    let twice = "facet;dx_mm;dy_mm;dx_mm\nR09/F01;1,1;2,2;3,3\n";
    assert_eq!(facet_table(twice.as_bytes(), &table_form()).unwrap_err().code, "file_column_twice");
    let none = "place;x;y\nR09/F01;1,1;2,2\n";
    assert_eq!(
        facet_table(none.as_bytes(), &table_form()).unwrap_err().code,
        "file_without_header"
    );
}

/// Lines that are not used say why: half a measurement, a bound, a facet that is none, one twice.
#[test]
fn lines_that_are_not_used() {
    let mut form = table_form();
    form.known = (1..=9).map(|n| format!("F0{n}")).collect();
    let file = read_with(
        "facet;dx_mm;dy_mm\nF01;1,5;2,5\nF02;1,5;\nF03;>40,5;2,5\nF10;1,5;2,5\n;1,5;2,5\n\
         F04;1,5;x\nF05;1,5;600,5\nF06;1,5;2,5\nF06;1,5;2,6\nF07;1,5;2,5\nF07;1,5;2,5\n\
         F08;NAN;NAN\nF09;masked;masked\n",
        &form,
    );
    let names: Vec<_> = file.rows.iter().map(|row| row.facet.as_str()).collect();
    assert_eq!(names, ["F01", "F07", "F08", "F09"]);
    for (line, words) in [
        (3, "one of the values is missing"),
        (4, "only a bound"),
        (5, "no facet of this dish"),
        (6, "no facet is named"),
        (7, "no number"),
        (8, "outside"),
        (9, "F06 stands on lines 9, 10"),
        (10, "F06 stands on lines 9, 10"),
        (12, "the same as line 11"),
    ] {
        assert!(reason(&file.lines, line).contains(words), "{line}: {}", reason(&file.lines, line));
    }
    assert_eq!(file.rows[2].note.as_deref(), Some("no value: NAN"));
    assert_eq!(file.rows[3].note.as_deref(), Some("masked"));
}

/// A serial that a spreadsheet changed matches no facet.
#[test]
fn damaged_names_match_nothing() {
    let mut form = table_form();
    form.known = vec!["0031907".into()];
    let file =
        read_with("facet;dx_mm;dy_mm\n0031907;1,5;2,5\n31907;1,5;2,5\n1.2E+11;1,5;2,5\n", &form);
    assert_eq!(file.rows.len(), 1);
    assert_eq!(file.rows[0].facet, "0031907");
}

/// The first and last lines are shown as understood, none twice.
#[test]
fn ends_are_shown() {
    let mut text = "facet;dx_mm;dy_mm\n".to_owned();
    (0..5).for_each(|n| text.push_str(&format!("F{n};1,{n};2,0\n")));
    let file = read_table(&text);
    assert_eq!((file.first.len(), file.last.len()), (3, 2));
    assert_eq!(file.heads, ["line", "facet", "dx, mm", "dy, mm"]);
    assert_eq!(file.last[1], ["6", "F4", "1.4", "2.0"]);
}
