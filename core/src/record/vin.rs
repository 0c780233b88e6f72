//! Vehicle identification numbers: what may be a slip of the pen. Pure. It warns and never refuses: a number is
//! recorded as it was read, and vehicles that were sold outside North America need not carry a check digit.
//!
//! Source: 49 CFR 565.13 (17 characters), 565.15 (c) with its Tables III to VI (values of the letters, weights of the
//! positions, remainder by 11, worked example). I, O and Q are left out there and in ISO 3779, because they read as 1
//! and 0.

/// Values of A to Z, Table III; 0 where a letter cannot be.
const LETTERS: [u32; 26] = [1, 2, 3, 4, 5, 6, 7, 8, 0, 1, 2, 3, 4, 5, 0, 7, 0, 9, 2, 3, 4, 5, 6, 7, 8, 9];

/// Weights of the 17 positions, Table IV; the check digit itself weighs nothing.
const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

/// Where the check digit stands, counted from 0.
const CHECK: usize = 8;

/// Why a number is worth reading again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VinDoubt {
    /// Not 17 characters. Vehicles built before model year 1981 had other lengths.
    WrongLength {
        /// How many there are.
        found: usize,
    },
    /// A character that no such number has.
    CannotBe {
        /// The character.
        found: char,
        /// Its position, from 1.
        position: usize,
    },
    /// The ninth character is not the one that the others give.
    CheckDigit {
        /// What stands there.
        found: char,
        /// What the others give, 0 to 9 or X.
        computed: char,
    },
}

impl VinDoubt {
    /// The doubt in plain words.
    pub fn text(self) -> String {
        match self {
            Self::WrongLength { found: 1 } => "1 character; a VIN since 1981 has 17".to_owned(),
            Self::WrongLength { found } => format!("{found} characters; a VIN since 1981 has 17"),
            Self::CannotBe { found: 'I', position } => {
                format!("the letter I at position {position} does not occur in a VIN; it may be a 1")
            }
            Self::CannotBe { found: found @ ('O' | 'Q'), position } => {
                format!("the letter {found} at position {position} does not occur in a VIN; it may be a 0")
            }
            Self::CannotBe { found, position } => format!(
                "\"{}\" at position {position} does not occur in a VIN, which has digits and capital letters only",
                found.escape_debug()
            ),
            Self::CheckDigit { found, computed } => format!(
                "the check digit at position 9 is {found}, the other characters give {computed}: read it again; \
                 vehicles sold outside North America need not carry one"
            ),
        }
    }
}

/// What is doubtful about a number as it was read; nothing when it fits. Spaces and small letters are no doubt.
pub fn doubts(vin: &str) -> Vec<VinDoubt> {
    let letters: Vec<char> =
        vin.chars().filter(|c| !c.is_whitespace()).map(|c| c.to_ascii_uppercase()).collect();
    let mut doubts = Vec::new();
    if letters.len() != WEIGHTS.len() {
        doubts.push(VinDoubt::WrongLength { found: letters.len() });
    }
    let cannot_be = (1..).zip(&letters).filter(|(_, found)| value(**found).is_none());
    doubts.extend(cannot_be.map(|(position, &found)| VinDoubt::CannotBe { found, position }));
    if doubts.is_empty() {
        let total: u32 =
            letters.iter().zip(WEIGHTS).map(|(&letter, weight)| weight * value(letter).unwrap_or(0)).sum();
        let (found, computed) = (letters[CHECK], char::from_digit(total % 11, 10).unwrap_or('X'));
        if found != computed {
            doubts.push(VinDoubt::CheckDigit { found, computed });
        }
    }
    doubts
}

fn value(letter: char) -> Option<u32> {
    match letter {
        '0'..='9' => letter.to_digit(10),
        'I' | 'O' | 'Q' => None,
        'A'..='Z' => LETTERS.get(letter as usize - 'A' as usize).copied(),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_examples() {
        // 49 CFR 565.15 Table VI (total 411, remainder 4); NHTSA's outline for new manufacturers (314, 6); the widely
        // printed one with X (351, 10); all ones (89, 1).
        for vin in ["1G4AH59H45G118341", "1J9RP1A36A1644345", "1M8GDM9AXKP042788", "11111111111111111"] {
            assert_eq!(doubts(vin), vec![], "{vin}");
        }
        assert_eq!(doubts(" 1m8gdm9ax kp042788\n"), vec![]);
    }

    #[test]
    fn every_single_slip_in_an_example_is_noticed_but_those_of_equal_value() {
        let vin = "1M8GDM9AXKP042788";
        let alphabet = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ";
        for (at, was) in vin.char_indices() {
            for put in alphabet.chars().filter(|put| *put != was) {
                let mut other = vin.to_owned();
                other.replace_range(at..=at, &put.to_string());
                // No weight shares a factor with 11, so only characters of one value pass for each other, and not
                // even they as the check digit.
                let same = at != CHECK && value(put) == value(was);
                assert_eq!(doubts(&other).is_empty(), same, "{other}");
            }
        }
    }

    #[test]
    fn what_is_doubtful() {
        assert_eq!(doubts(""), vec![VinDoubt::WrongLength { found: 0 }]);
        assert_eq!(doubts("1M8GDM9AXKP04278"), vec![VinDoubt::WrongLength { found: 16 }]);
        assert_eq!(
            doubts("1M8GDM9AXKPO42788"),
            vec![VinDoubt::CannotBe { found: 'O', position: 12 }],
            "an O for a 0"
        );
        assert_eq!(
            doubts("1M8-ÄI"),
            vec![
                VinDoubt::WrongLength { found: 6 },
                VinDoubt::CannotBe { found: '-', position: 4 },
                VinDoubt::CannotBe { found: 'Ä', position: 5 },
                VinDoubt::CannotBe { found: 'I', position: 6 },
            ]
        );
        assert_eq!(doubts("1M8GDM9A5KP042788"), vec![VinDoubt::CheckDigit { found: '5', computed: 'X' }]);
        let texts: Vec<String> = ["1M8GDM9AXKPO42788", "1M8GDM9A5KP042788", "7"]
            .iter()
            .flat_map(|vin| doubts(vin))
            .map(VinDoubt::text)
            .collect();
        assert_eq!(
            texts,
            [
                "the letter O at position 12 does not occur in a VIN; it may be a 0",
                "the check digit at position 9 is 5, the other characters give X: read it again; \
                 vehicles sold outside North America need not carry one",
                "1 character; a VIN since 1981 has 17",
            ]
        );
        assert!(VinDoubt::CannotBe { found: '\u{202e}', position: 2 }.text().contains("\\u{202e}"));
    }
}
