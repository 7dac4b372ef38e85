//! The one writer of BENCHMARKS.md: parts by their heading, in the order they were first written.
//! A part run alone replaces its own part and leaves the others.

use std::path::Path;

/// Writes parts, each opening with its heading; `whole` leaves nothing else.
pub fn write(file: &Path, parts: &[String], whole: bool) -> Result<(), String> {
    let old = if whole {
        String::new()
    } else {
        std::fs::read_to_string(file).unwrap_or_default()
    };
    let text = joined(&old, parts);
    std::fs::write(file, text).map_err(|e| format!("{}: {e}", file.display()))
}

fn joined(old: &str, parts: &[String]) -> String {
    let mut book = split(old);
    for part in parts {
        let part = part.trim();
        let heading = part.lines().next().unwrap_or_default();
        match book.iter_mut().find(|p| p.lines().next() == Some(heading)) {
            Some(place) => part.clone_into(place),
            // The first part carries the title of the file.
            None if heading.starts_with("# ") => book.insert(0, part.to_owned()),
            None => book.push(part.to_owned()),
        }
    }
    book.join("\n\n") + "\n"
}

/// Splits at headings of the first two ranks.
fn split(text: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for line in text.lines() {
        match parts.last_mut() {
            Some(last) if !line.starts_with("# ") && !line.starts_with("## ") => {
                last.push('\n');
                last.push_str(line);
            }
            _ => parts.push(line.to_owned()),
        }
    }
    parts.iter().map(|part| part.trim().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn a_part_replaces_its_own_part_only() {
        let old = "# All\n\nfirst\n\n## One\n\nold\n\n### within\n\n## Two\n\ntwo\n";
        let new = joined(old, &["\n## One\n\nnew\n".to_owned()]);
        assert_eq!(new, "# All\n\nfirst\n\n## One\n\nnew\n\n## Two\n\ntwo\n");
        let more = joined(&new, &["## Three\n\n3".to_owned()]);
        assert_eq!(more, format!("{new}\n## Three\n\n3\n"));
        assert_eq!(joined(&more, &[]), more);
    }

    #[test]
    fn an_empty_book_takes_the_parts_in_order() {
        let parts = ["# All\n\na\n".to_owned(), "\n## One\n\nb".to_owned()];
        assert_eq!(joined("", &parts), "# All\n\na\n\n## One\n\nb\n");
        let turned = ["## One\n\nb".to_owned(), "# All\n\na".to_owned()];
        assert_eq!(joined("", &turned), "# All\n\na\n\n## One\n\nb\n");
    }
}
