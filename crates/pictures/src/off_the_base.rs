//! A contact of a tube that is not on its base, in words.
//!
//! No units. Nothing here fails.

use benchwork::view::ContactView;

/// A contact that is not on the base, in words; what it carries where the words do not say it.
pub fn off_the_base(contact: &ContactView) -> String {
    let carries = contact.elements.join(" + ");
    match (contact.contact.as_str(), carries.as_str()) {
        ("anode", "anode") => "anode contact on the bulb".to_string(),
        ("coating", "outer-coating") => "outer coating".to_string(),
        ("cap", _) => format!("top cap: {carries}"),
        ("anode", _) => format!("anode contact on the bulb: {carries}"),
        (other, _) => format!("{other}: {carries}"),
    }
}
