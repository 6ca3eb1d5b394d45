//! The colours of the code and what each stands for.
//!
//! Figures and powers of ten are pure numbers. Source: RMA code and IEC 60062, from memory. Where a colour stands for nothing, the
//! answer is `None`.

/// A colour of the code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Colour {
    /// Black: 0.
    Black,
    /// Brown: 1.
    Brown,
    /// Red: 2.
    Red,
    /// Orange: 3.
    Orange,
    /// Yellow: 4.
    Yellow,
    /// Green: 5.
    Green,
    /// Blue: 6.
    Blue,
    /// Violet (purple): 7.
    Violet,
    /// Grey: 8.
    Grey,
    /// White: 9.
    White,
    /// Gold: one tenth, or 5 %.
    Gold,
    /// Silver: one hundredth, or 10 %.
    Silver,
    /// No colour where one could be: 20 %.
    None,
}

impl Colour {
    /// All of them, in the order of their figures.
    pub const ALL: [Colour; 13] = [
        Colour::Black,
        Colour::Brown,
        Colour::Red,
        Colour::Orange,
        Colour::Yellow,
        Colour::Green,
        Colour::Blue,
        Colour::Violet,
        Colour::Grey,
        Colour::White,
        Colour::Gold,
        Colour::Silver,
        Colour::None,
    ];

    /// The colour of this name, in any case; `gray`, `purple`, `golden` and the usual two-letter marks as well.
    pub fn from_name(name: &str) -> Option<Colour> {
        Some(match name.trim().to_lowercase().as_str() {
            "black" | "blk" | "bk" => Colour::Black,
            "brown" | "brn" | "bn" => Colour::Brown,
            "red" | "rd" => Colour::Red,
            "orange" | "org" | "og" => Colour::Orange,
            "yellow" | "yel" | "ye" => Colour::Yellow,
            "green" | "grn" | "gn" => Colour::Green,
            "blue" | "blu" | "bu" => Colour::Blue,
            "violet" | "purple" | "vio" | "vt" => Colour::Violet,
            "grey" | "gray" | "gry" | "gy" => Colour::Grey,
            "white" | "wht" | "wh" => Colour::White,
            "gold" | "golden" | "gd" => Colour::Gold,
            "silver" | "sil" | "sr" => Colour::Silver,
            "none" | "no" => Colour::None,
            _ => return None,
        })
    }

    /// The name, in lower case.
    pub fn name(self) -> &'static str {
        match self {
            Colour::Black => "black",
            Colour::Brown => "brown",
            Colour::Red => "red",
            Colour::Orange => "orange",
            Colour::Yellow => "yellow",
            Colour::Green => "green",
            Colour::Blue => "blue",
            Colour::Violet => "violet",
            Colour::Grey => "grey",
            Colour::White => "white",
            Colour::Gold => "gold",
            Colour::Silver => "silver",
            Colour::None => "none",
        }
    }

    /// The figure, 0 to 9.
    pub fn figure(self) -> Option<u8> {
        Some(match self {
            Colour::Black => 0,
            Colour::Brown => 1,
            Colour::Red => 2,
            Colour::Orange => 3,
            Colour::Yellow => 4,
            Colour::Green => 5,
            Colour::Blue => 6,
            Colour::Violet => 7,
            Colour::Grey => 8,
            Colour::White => 9,
            Colour::Gold | Colour::Silver | Colour::None => return None,
        })
    }

    /// The power of ten as a multiplier: its figure, -1 for gold, -2 for silver.
    pub fn power_of_ten(self) -> Option<i32> {
        match self {
            Colour::Gold => Some(-1),
            Colour::Silver => Some(-2),
            other => other.figure().map(i32::from),
        }
    }
}

impl std::fmt::Display for Colour {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.pad(self.name())
    }
}
