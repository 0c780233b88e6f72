//! Lists as people save them: other marks between cells, other encodings, and every way in which a row can be wrong.

use super::*;

fn list(text: &str) -> FleetList {
    read_fleet(text.as_bytes())
}

/// `line plate/vin/stock form finish` of every row.
fn rows(list: &FleetList) -> Vec<String> {
    let row = |row: &FleetRow| {
        let names = [&row.plate, &row.vin, &row.stock].map(|name| name.as_deref().unwrap_or("-"));
        format!("{} {} {} {}", row.line, names.join("/"), row.form.word(), row.finish.word())
    };
    list.rows.iter().map(row).collect()
}

/// `line column: reason` of every error, cut after 60 characters.
fn errors(list: &FleetList) -> Vec<String> {
    let text = |e: &RowError| format!("{} {}: {}", e.line, e.column, e.reason).chars().take(60).collect();
    list.errors.iter().map(text).collect()
}

const PLAIN: &str = "Plate,VIN,Stock number,Body form,Paint,Color,Notes,Keys\n\
                     XX12 ABC,,,van,solid,white,roof rack,hook 3\n\
                     ,1M8GDM9AXKP042788,D-17,Sedan,Metallic,\"dark, blue\",\"two\nlines\",\n\
                     \n\
                     , ,,,,,,\n\
                     XX13 ABC,,,people carrier,,,,\n";

#[test]
fn a_list_in_every_encoding_and_with_every_mark() {
    let plain = list(PLAIN);
    assert_eq!(errors(&plain), Vec::<String>::new());
    assert_eq!(plain.unknown_columns, ["Keys"]);
    assert_eq!(
        rows(&plain),
        [
            "2 XX12 ABC/-/- van solid",
            "3 -/1M8GDM9AXKP042788/D-17 saloon metallic",
            "7 XX13 ABC/-/- people-carrier unknown"
        ]
    );
    assert_eq!(plain.rows[0].colour.as_deref(), Some("white"));
    assert_eq!(plain.rows[1].colour.as_deref(), Some("dark, blue"));
    assert_eq!(plain.rows[1].note.as_deref(), Some("two\nlines"));

    for mark in [";", "\t"] {
        let other = PLAIN.replace("dark, blue", "dark@ blue").replace(',', mark).replace('@', ",");
        assert_eq!(list(&other), plain, "{mark:?}");
    }
    let accented = PLAIN.replace("white", "białe");
    let told = list(&accented);
    assert_eq!(told.rows[0].colour.as_deref(), Some("białe"));
    for ends in ["\r\n", "\r"] {
        assert_eq!(list(&accented.replace('\n', ends)), told, "{ends:?}");
    }
    let marked = |mark: &[u8], bytes: Vec<u8>| read_fleet(&[mark, &bytes].concat());
    let little = accented.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big = accented.encode_utf16().flat_map(u16::to_be_bytes).collect();
    assert_eq!(marked(&[0xef, 0xbb, 0xbf], accented.clone().into_bytes()), told);
    assert_eq!(marked(&[0xff, 0xfe], little), told);
    assert_eq!(marked(&[0xfe, 0xff], big), told);
}

#[test]
fn names_of_columns_without_regard_to_case_space_and_underscore() {
    for name in ["STOCK_NUMBER", " stock number ", "Stock No.", "stock", "\"Stock\nnumber\""] {
        let read = list(&format!("{name};body_FORM\n17;VAN\n"));
        assert_eq!(read.errors, vec![], "{name}");
        assert_eq!(read.rows[0].stock.as_deref(), Some("17"), "{name}");
    }
}

#[test]
fn forms_and_finishes_in_the_words_of_both_countries() {
    for (words, all) in [("form", Form::ALL.len()), ("finish", Finish::ALL.len())] {
        let said: Vec<(usize, String)> = (0..all)
            .flat_map(|at| {
                let (stored, texts) = if words == "form" {
                    (Form::ALL[at].word(), forms().texts(Form::ALL[at]))
                } else {
                    (Finish::ALL[at].word(), finishes().texts(Finish::ALL[at]))
                };
                [stored, texts[0], texts[1]].map(|text| (at, text.to_uppercase().replace(' ', "_")))
            })
            .collect();
        assert!(said.len() >= 18);
        for (at, text) in said {
            let meant = if words == "form" {
                forms().meant(&text).map(|form| form as usize)
            } else {
                finishes().meant(&text).map(|finish| finish as usize)
            };
            assert_eq!(meant, Ok(at), "{text}");
        }
    }
    for (said, finish) in [
        ("matte", Finish::Matt),
        ("Satin", Finish::Matt),
        ("pearl", Finish::Metallic),
        ("solid", Finish::Solid),
    ] {
        assert_eq!(finishes().meant(said), Ok(finish));
    }
    let why = forms().meant("lorry").expect_err("no such form");
    assert!(why.starts_with("\"lorry\" is not one of: 3-door hatch (2-door hatchback); "), "{why}");
    assert!(why.contains("saloon (sedan)") && why.contains("van (cargo van)"), "{why}");
}

#[test]
fn a_bad_row_is_told_and_the_others_stay() {
    let read = list(
        "plate,vin,stock,form,finish,colour,note\n\
         A1,,,van,,,\n\
         A2,,,,,,\n\
         A3,,,lorry,sparkling,,\n\
         ,,,van,,red,no name\n\
         a 1,,,van,,,\n\
         A1234567890123456789X,,,van,,,\n\
         A4,,,van,,,,\n\
         A5,,,van,,,,surplus\n\
         A6\u{7},,,van,,,\n\
         A-1,,S-1,van,,,\n\
         A7,V1,s-1,van,,,\n\
         A8,v1\n\
         A9,,S1,van\n",
    );
    assert_eq!(rows(&read), ["2 A1/-/- van unknown", "8 A4/-/- van unknown", "14 A9/-/S1 van unknown"]);
    assert_eq!(
        errors(&read),
        [
            "3 form: empty; one of: 3-door hatch (2-door hatchback); 5-do",
            "4 form: \"lorry\" is not one of: 3-door hatch (2-door hatchbac",
            "4 finish: \"sparkling\" is not one of: solid paint; metallic o",
            "5 plate: a row needs a plate, a VIN or a stock number",
            "6 plate: stands in line 2 already",
            "7 plate: 21 characters; at most 20 can be kept",
            "9 : \"surplus\" stands under no column name (cell 8 of 8); a c",
            "10 plate: holds the control character U+0007",
            "11 plate: stands in line 2 already",
            "12 stock: stands in line 11 already",
            "13 vin: stands in line 12 already",
            "13 form: empty; one of: 3-door hatch (2-door hatchback); 5-d",
        ]
    );
}

#[test]
fn lengths_at_their_limits() {
    for (column, longest) in [("vin", 30), ("stock", 40), ("colour", 100), ("note", 4_000)] {
        let of = |length: usize| list(&format!("plate,form,{column}\nA1,van,{}\n", "é".repeat(length)));
        assert_eq!(of(longest).errors, vec![], "{column}");
        assert_eq!(of(longest).rows.len(), 1, "{column}");
        let why = format!("{} characters; at most {longest} can be kept", longest + 1);
        assert_eq!(of(longest + 1).errors, vec![RowError::new(2, column, why)]);
        assert_eq!(of(longest + 1).rows, vec![]);
    }
}

#[test]
fn a_missing_quotation_mark_costs_its_own_line_only() {
    let head = "plate,form,colour,note\n";
    let torn = "a quotation mark is not closed, text stands behi";
    for (name, bad, told) in [
        ("never closed", "B1,van,\"red,\n", format!("2 : {torn}")),
        ("closed in the middle", "B1,van,\"19\" wheels,\n", format!("2 : {torn}")),
    ] {
        let read = list(&format!("{head}{bad}B2,van,blue,\nB3,van,\"red, dark\",\"\"\n"));
        assert_eq!(rows(&read), ["3 B2/-/- van unknown", "4 B3/-/- van unknown"], "{name}");
        assert!(errors(&read)[0].starts_with(&told) && read.errors.len() == 1, "{:?}", read.errors);
    }
    // Two that happen to pair up: what lies between is one cell, and a colour has one line.
    let read = list(&format!("{head}B1,van,\"red,\nB2,van,blue,\nB3,van,red\",\n"));
    assert_eq!(rows(&read), ["3 B2/-/- van unknown", "4 B3/-/- van unknown"]);
    assert_eq!(errors(&read), ["2 colour: holds a line break; is a quotation mark missing? R"]);
    // Marks inside a cell are the cell's, and a doubled one is one.
    let read = list(&format!("{head}B1,van,red,19\" wheels\nB2,van,red,\"19\"\" wheels\"\n"));
    assert_eq!(read.errors, vec![]);
    assert!(read.rows.iter().all(|row| row.note.as_deref() == Some("19\" wheels")));
    // A row without an end in sight is given up.
    let read = list(&format!("{head}B1,van,red,\"{}\"\nB2,van,blue,\n", "x".repeat(70_000)));
    assert_eq!(rows(&read), ["3 B2/-/- van unknown"]);
    assert!(errors(&read)[0].starts_with(&format!("2 : {torn}")), "{:?}", errors(&read));
}

#[test]
fn lists_that_cannot_be_read_at_all() {
    let only = |read: FleetList| {
        assert!(read.rows.is_empty() && read.errors.len() == 1, "{read:?}");
        errors(&read).remove(0)
    };
    for empty in ["", "\n\n", " , ,\n"] {
        assert_eq!(only(list(empty)), "1 : the list is empty");
    }
    assert_eq!(
        only(list("\n\nA1,van\nA2,van\n")),
        "3 : no header: the first row names the columns, plate, vin, "
    );
    assert_eq!(
        only(list("plate,vin\nA1,\n")),
        "1 form: the header names no such column; it says what the ve"
    );
    assert_eq!(
        only(list("form,colour\nvan,\n")),
        "1 plate: the header names no column plate, vin or stock; one"
    );
    assert_eq!(
        only(list("plate,form,Reg\n")),
        "1 plate: the header names this column twice: rename or remov"
    );
    assert_eq!(
        only(list("\"plate,form\nA1,van\n")),
        "1 : no header: the first row names the columns, plate, vin, "
    );

    let torn = "plate,form,\"note\nA1,van,\n";
    assert_eq!(only(list(torn)), "1 : the quotation marks of the header do not pair up");

    // "weiß" as Windows-1252 has it, in the third line.
    let western = b"plate;form;colour\r\nA1;van;red\r\nA2;van;wei\xdf\r\n";
    assert_eq!(only(read_fleet(western)), "3 : the byte DF is not UTF-8 here; save the list again as \"C");
    assert_eq!(
        only(read_fleet(b"plate,form\rA1,van\r\xff")),
        "3 : the byte FF is not UTF-8 here; save the list again as \"C"
    );
    let cut = b"plate,form\nA1,van\xe2\x82";
    assert!(only(read_fleet(cut)).starts_with("2 : the byte E2"));
    let unmarked: Vec<u8> = PLAIN.encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert!(only(read_fleet(&unmarked)).starts_with("1 : holds zero bytes"));
    let half = [&[0xff, 0xfe][..], b"p\0\n\0\x00\xd8a\0"].concat();
    assert!(only(read_fleet(&half)).starts_with("2 : the half letter D800 is not UTF-16"));
    let odd = [&[0xfe, 0xff][..], b"\0p\0"].concat();
    assert!(only(read_fleet(&odd)).starts_with("1 : the single last byte is not UTF-16"));
    let large = vec![b'\n'; MOST_BYTES + 1];
    assert!(only(read_fleet(&large)).starts_with("1 : 2000001 bytes; at most 2000000 are read"));
    assert_eq!(only(read_fleet(&large[1..])), "1 : the list is empty");
}

#[test]
fn at_most_so_many_rows() {
    let of = |count: usize| {
        let rows: String = (0..count).map(|at| format!("P{at},van\n\n")).collect();
        list(&format!("plate,form\n{rows}"))
    };
    assert_eq!((of(MOST_ROWS).rows.len(), of(MOST_ROWS).errors.len()), (MOST_ROWS, 0));
    let more = of(MOST_ROWS + 5);
    assert_eq!(more.rows.len(), MOST_ROWS);
    assert_eq!(errors(&more), ["4002 : more than 2000 rows: this one and those after it were"]);
}

#[test]
fn nothing_that_is_read_brings_it_down() {
    // Every short text over the marks that matter, behind a header and alone.
    let marks = ["\"", ",", "\n", "\r", "a", ";", "é"];
    let mut texts = vec![String::new()];
    for _ in 0..5 {
        texts = texts.iter().flat_map(|text| marks.map(|mark| format!("{text}{mark}"))).collect();
        for text in &texts {
            let read = list(&format!("plate,form,note\n{text}\nA1,van,"));
            let last = read.rows.last().map(|row| row.plate.as_deref());
            assert!(last == Some(Some("A1")) || !read.errors.is_empty(), "{text:?}: {read:?}");
            list(text);
        }
    }
}
