//! A restorer's own types lie beside the built-in ones, never over them.

use parts::{catalogue, read_own_types};

const OWN: &str = "type,section,kind,base,pins,heater_v,heater_a\n\
                   6ZZ6,triode,triode,miniature,1:plate 3:heater 4:heater 6:grid1 7:cathode,6.3,0.3\n\
                   6AU6,pentode,pentode,octal,,6.3,2\n\
                   ECC82,each-triode,triode,octal,,6.3,2\n";

#[test]
fn a_number_of_its_own_is_found_beside_the_built_in_ones() {
    let own = read_own_types("mine.csv", OWN).expect("sound");
    let together = catalogue().expect("sound").with_own(&own);
    let found = together.tube("6zz6").expect("beside");
    assert_eq!(found.provenance.source, "mine.csv");
    assert!(catalogue().expect("sound").tube("6ZZ6").is_none());
    assert!(together.tube_match("6ZZ6").is_some_and(|found| found.exact));
    assert!(together.nearest_tubes("6ZZ5").contains(&"6ZZ6"));
}

#[test]
fn a_number_that_is_built_in_keeps_its_built_in_figures() {
    let own = read_own_types("mine.csv", OWN).expect("sound");
    let built_in = catalogue().expect("sound");
    let together = built_in.with_own(&own);
    for name in ["6AU6", "ECC82", "12AU7"] {
        assert!(built_in.has_number(name));
        assert_eq!(together.tube(name), built_in.tube(name), "{name}");
    }
    assert_eq!(own.len(), 3, "the own rows are still there to be shown");
}
