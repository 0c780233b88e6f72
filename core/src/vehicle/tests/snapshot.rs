//! The geometry of each form, to the bit. A change here is a new version: raise `GEOMETRY_VERSION` and keep the old
//! generator for the records made with it.

use crate::record::words::Form;
use crate::vehicle::{GEOMETRY_VERSION, geometry};

const SNAPSHOT: &str = include_str!("snapshot.txt");

#[test]
fn geometry_is_what_it_was() {
    let mut now = format!("version {GEOMETRY_VERSION}\n");
    for &form in Form::ALL {
        let hash: String = geometry(form).hash().iter().map(|b| format!("{b:02x}")).collect();
        now += &format!("{} {hash}\n", form.word());
    }
    assert_eq!(now, SNAPSHOT, "\n{now}");
}
