//! Reads a sex category as sheets write it, in several languages.
//! What is neither is kept as not stated; nobody is guessed from a name.

use serde::Serialize;

use crate::table::Cell;

/// A sex category, for choosing references only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sex {
    /// Female.
    Female,
    /// Male.
    Male,
    /// Written, but neither of the two that references know.
    Other,
}

/// Reads a cell of a sex column; nothing when it is empty.
pub(crate) fn sex(cell: &Cell) -> Option<Sex> {
    let text = match cell {
        Cell::Text(text) => crate::header::fold(text),
        Cell::Number(_) | Cell::Bool(_) => return Some(Sex::Other),
        _ => return None,
    };
    word_sex(&text)
}

/// Returns the category a folded word names.
pub(crate) fn word_sex(word: &str) -> Option<Sex> {
    match word {
        "" => None,
        "f" | "female" | "w" | "woman" | "women" | "girl" | "girls" | "femme" | "femmes"
        | "fille" | "filles" | "weiblich" | "frau" | "frauen" | "madchen" | "maedchen"
        | "mujer" | "mujeres" | "chica" | "chicas" | "femenino" | "femminile" | "feminino"
        | "donna" | "donne" | "ragazze" | "vrouw" | "meisje" | "kvinna" | "kvinne" | "flicka"
        | "jente" | "nainen" | "tytto" => Some(Sex::Female),
        "m" | "male" | "man" | "men" | "boy" | "boys" | "h" | "homme" | "hommes" | "garcon"
        | "garcons" | "mannlich" | "maennlich" | "mann" | "manner" | "junge" | "jungen"
        | "hombre" | "hombres" | "chico" | "chicos" | "masculino" | "maschile" | "uomo"
        | "uomini" | "ragazzi" | "jongen" | "pojke" | "gutt" | "mies" | "poika" => Some(Sex::Male),
        _ => Some(Sex::Other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_for_sex() {
        assert_eq!(sex(&Cell::text("F")), Some(Sex::Female));
        assert_eq!(sex(&Cell::text("Mädchen")), Some(Sex::Female));
        assert_eq!(sex(&Cell::text("boys")), Some(Sex::Male));
        assert_eq!(sex(&Cell::text("prefer not to say")), Some(Sex::Other));
        assert_eq!(sex(&Cell::Empty), None);
    }
}
