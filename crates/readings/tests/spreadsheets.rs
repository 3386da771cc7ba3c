//! Spreadsheets written by other libraries (`data/make_spreadsheets.py`) are read as their rows are.
#![cfg(feature = "spreadsheet")]

use evenstroke_readings::{
    Wishes, columns, samples,
    spreadsheet::{is_spreadsheet, text_of},
};

#[test]
fn sheets_are_read_with_their_rows_and_numbers() {
    for bytes in [&include_bytes!("data/signature.xlsx")[..], include_bytes!("data/signature.ods")]
    {
        assert!(is_spreadsheet(bytes));
        let text = text_of(bytes, Some("Press")).expect("a sheet");
        let wishes = Wishes::default();
        let mapping = columns::map(text.as_bytes(), &wishes).expect("columns");
        assert_eq!((mapping.first_line, mapping.place.key()), (3, "height"));
        assert_eq!((mapping.place_unit.as_str(), mapping.force_unit.as_str()), ("mm", "kN"));
        let found = samples::samples(text.as_bytes(), &mapping, &wishes).expect("numbers");
        assert_eq!(found.place.len(), 400);
        // The slide of the script is at the top of its 100 mm first and at BDC after half a stroke.
        assert_eq!((found.place[0], found.place[100]), (100.0, 0.0));
        assert_eq!(found.channels[0].iter().copied().fold(0.0, f32::max), 50.5);
    }
}

#[test]
fn what_is_no_spreadsheet_or_lacks_the_sheet_is_refused() {
    let words = |bytes: &[u8], sheet| text_of(bytes, sheet).expect_err("refused").to_string();
    assert!(words(b"PK\x03\x04 and no more", None).contains("cannot be opened"));
    let bytes = include_bytes!("data/signature.xlsx");
    assert_eq!(words(bytes, Some("Press 2")), "sheet must be one of Press, but is \"Press 2\"");
    assert!(words(&bytes[..bytes.len() / 2], None).contains("cannot be opened"));
}
