//! Which SQL both SQLite and PostgreSQL understand alike: a check of a statement's words.
//! Must not try to parse SQL; it objects to what is known to differ. Rules: `docs/formats/archive-schema.md`.

use super::Stmt;

/// Words that only one engine knows, or that the engines read differently.
const WORDS: [(&str, &str); 34] = [
    ("abort", "only one engine has conflict clauses of this kind"),
    ("autoincrement", "ids are made by the program"),
    ("blob", "write {bytes}"),
    ("boolean", "flags are whole numbers 0 and 1"),
    ("bytea", "write {bytes}"),
    ("collate", "sort in the program"),
    ("current_timestamp", "the program supplies the time"),
    ("date", "dates are text"),
    ("datetime", "times are whole milliseconds"),
    ("false", "flags are whole numbers 0 and 1"),
    ("glob", "only one engine has it"),
    ("group_concat", "join in the program"),
    ("ifnull", "write coalesce"),
    ("ilike", "only one engine has it"),
    ("integer", "write {i64}"),
    ("isnull", "write IS NULL"),
    ("json", "JSON is text and is never queried"),
    ("json_extract", "JSON is text and is never queried"),
    ("jsonb", "JSON is text and is never queried"),
    ("julianday", "times are whole milliseconds"),
    ("like", "the engines differ in case"),
    ("now", "the program supplies the time"),
    ("oid", "only one engine has it"),
    ("pragma", "only one engine has it"),
    ("random", "the program supplies ids"),
    ("real", "write {f64}"),
    ("replace", "write ON CONFLICT"),
    ("rowid", "only one engine has it"),
    ("serial", "ids are made by the program"),
    ("strftime", "times are whole milliseconds"),
    ("string_agg", "join in the program"),
    ("true", "flags are whole numbers 0 and 1"),
    ("typeof", "only one engine has it"),
    ("unixepoch", "times are whole milliseconds"),
];

/// Columns that may be ordered by: whole numbers, which all engines order alike.
const ORDERED: [&str; 2] = ["seq", "number"];

#[derive(Debug, Clone, PartialEq, Eq)]
enum Token {
    Word(String),
    Placeholder(usize),
    Sign(char),
}

/// Returns what is not portable in a statement or script; nothing when all is well.
pub(super) fn objections(sql: &str) -> Vec<String> {
    let tokens = tokens(sql);
    let mut found = Vec::new();
    let mut highest = 0;
    for (at, token) in tokens.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| tokens.get(at));
        let after = tokens.get(at + 1);
        match token {
            Token::Word(word) => {
                let known = WORDS.iter().find(|(bad, _)| bad == word);
                if let Some((_, why)) = known {
                    found.push(format!("`{word}`: {why}"));
                }
                if word == "or" && before == Some(&Token::Word("insert".to_owned())) {
                    found.push("`insert or`: write ON CONFLICT".to_owned());
                }
                if word == "by" && before == Some(&Token::Word("order".to_owned())) {
                    let ordered = order_column(&tokens[at + 1..]);
                    if !ordered.is_some_and(|name| ORDERED.contains(&name)) {
                        found.push("`order by`: the engines sort text differently".to_owned());
                    }
                }
                let cast = at >= 2 && tokens[at - 2] == Token::Word("cast".to_owned());
                if (word == "sum" || word == "avg") && after == Some(&Token::Sign('(')) && !cast {
                    found.push(format!("`{word}`: cast it, its type differs"));
                }
            }
            Token::Placeholder(0) => found.push("`?` or `$`: number the placeholders".to_owned()),
            Token::Placeholder(number) => {
                if *number > highest + 1 {
                    found.push(format!("`${number}` is used before `${}`", highest + 1));
                }
                highest = highest.max(*number);
            }
            Token::Sign(sign @ ('`' | '[' | ']' | '@' | '"')) => {
                found.push(format!("`{sign}`: only one engine reads it so"));
            }
            Token::Sign(sign @ ('=' | ':')) if after == Some(&Token::Sign(*sign)) => {
                found.push(format!("`{sign}{sign}`: only one engine knows it"));
            }
            Token::Sign(_) => {}
        }
    }
    found
}

/// Returns the statement, having objected (in debug builds) to what is not portable.
pub(super) fn checked(stmt: &Stmt) -> &Stmt {
    // A run-time `cfg!`, so that a release build sees the check as used and leaves it out.
    if cfg!(debug_assertions) {
        use std::cell::RefCell;
        use std::collections::BTreeSet;

        thread_local! {
            static SEEN: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
        }
        SEEN.with_borrow_mut(|seen| {
            if !seen.contains(stmt.sql.as_ref()) {
                assert_eq!(objections(&stmt.sql), Vec::<String>::new(), "{}", stmt.sql);
                seen.insert(stmt.sql.to_string());
            }
        });
    }
    stmt
}

/// Returns the column after `order by`, without its table's short name.
fn order_column(tokens: &[Token]) -> Option<&str> {
    match tokens {
        [Token::Word(_), Token::Sign('.'), Token::Word(name), ..] | [Token::Word(name), ..] => {
            Some(name)
        }
        _ => None,
    }
}

fn tokens(sql: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut chars = sql.chars().peekable();
    while let Some(first) = chars.next() {
        match first {
            '\'' => while chars.next().is_some_and(|inside| inside != '\'') {},
            '-' if chars.peek() == Some(&'-') => {
                while chars.next().is_some_and(|inside| inside != '\n') {}
            }
            '{' => while chars.next().is_some_and(|inside| inside != '}') {},
            '?' => tokens.push(Token::Placeholder(0)),
            '$' => {
                let mut digits = String::new();
                while let Some(digit) = chars.next_if(char::is_ascii_digit) {
                    digits.push(digit);
                }
                tokens.push(Token::Placeholder(digits.parse().unwrap_or(0)));
            }
            letter if letter.is_alphabetic() || letter == '_' => {
                let mut word = letter.to_lowercase().to_string();
                while let Some(next) = chars.next_if(|next| next.is_alphanumeric() || *next == '_')
                {
                    word.extend(next.to_lowercase());
                }
                tokens.push(Token::Word(word));
            }
            space if space.is_whitespace() => {}
            sign => tokens.push(Token::Sign(sign)),
        }
    }
    tokens
}

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    use super::*;

    fn files(dir: &Path, extension: &str) -> Vec<PathBuf> {
        let mut found = Vec::new();
        for entry in std::fs::read_dir(dir).expect("the folder is there") {
            let path = entry.expect("the entry can be read").path();
            if path.is_dir() {
                found.extend(files(&path, extension));
            } else if path.extension().is_some_and(|end| end == extension) {
                found.push(path);
            }
        }
        found
    }

    /// Returns the string literals of Rust text; good enough for sources that keep SQL in one
    /// literal, joined over lines by a backslash.
    fn literals(text: &str) -> Vec<String> {
        let mut found = Vec::new();
        let mut chars = text.chars();
        while let Some(next) = chars.next() {
            match next {
                '\'' => {
                    // A character literal such as '"' must not open a string.
                    let rest = chars.as_str();
                    if let Some(end) = rest.strip_prefix("\"'") {
                        chars = end.chars();
                    }
                }
                '/' if chars.as_str().starts_with('/') => {
                    while chars.next().is_some_and(|inside| inside != '\n') {}
                }
                '"' => {
                    let mut literal = String::new();
                    while let Some(inside) = chars.next() {
                        match inside {
                            '"' => break,
                            '\\' => match chars.next() {
                                Some('\n') => literal.push(' '),
                                Some(other) => literal.push(other),
                                None => break,
                            },
                            other => literal.push(other),
                        }
                    }
                    found.push(literal);
                }
                _ => {}
            }
        }
        found
    }

    fn is_sql(literal: &str) -> bool {
        [
            "SELECT ", "INSERT ", "UPDATE ", "DELETE ", "CREATE ", "ALTER ", "WITH ", "PRAGMA ",
            "DROP ",
        ]
        .iter()
        .any(|verb| literal.trim_start().starts_with(verb))
    }

    #[test]
    fn all_sql_above_the_seam_is_portable() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut seen = 0;
        for path in files(&root.join("src"), "rs") {
            if path.starts_with(root.join("src/db")) {
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("a source file can be read");
            for sql in literals(&text).iter().filter(|literal| is_sql(literal)) {
                seen += 1;
                assert_eq!(objections(sql), Vec::<String>::new(), "{path:?}: {sql}");
            }
            assert!(
                !text.contains("rusqlite"),
                "{path:?}: only the db module may know rusqlite"
            );
        }
        for path in files(&root.join("migrations"), "sql") {
            seen += 1;
            let text = std::fs::read_to_string(&path).expect("a migration can be read");
            assert_eq!(objections(&text), Vec::<String>::new(), "{path:?}");
        }
        assert!(seen >= 10, "the search found only {seen} statements");
    }

    #[test]
    fn what_differs_between_engines_is_objected_to() {
        for bad in [
            "INSERT OR IGNORE INTO a VALUES ($1)",
            "REPLACE INTO a VALUES ($1)",
            "CREATE TABLE a (id INTEGER PRIMARY KEY AUTOINCREMENT)",
            "CREATE TABLE a (on_day date)",
            "SELECT b FROM a WHERE c = ?1",
            "SELECT b FROM a WHERE c = ?",
            "SELECT b FROM a WHERE c = $2 AND d = $1",
            "SELECT b FROM a WHERE c LIKE $1",
            "SELECT strftime('%s', b) FROM a",
            "SELECT rowid FROM a",
            "SELECT b FROM a ORDER BY b",
            "SELECT sum(b) FROM a",
            "SELECT b::text FROM a",
            "SELECT `b` FROM a",
            "SELECT b FROM a WHERE c == $1",
            "SELECT b FROM a WHERE c = true",
            "PRAGMA journal_mode",
        ] {
            assert_ne!(objections(bad), Vec::<String>::new(), "{bad}");
        }
    }

    #[test]
    fn what_both_engines_know_is_let_through() {
        for good in [
            "SELECT r.on_date, count(*) FROM a r WHERE c = $1 AND d = $2 OR e = $1 GROUP BY r.on_date",
            "SELECT seq FROM change c ORDER BY c.seq",
            "SELECT CAST(sum(b) AS BIGINT) FROM a",
            "INSERT INTO a (b) VALUES ($1) ON CONFLICT DO NOTHING",
            "SELECT b FROM a WHERE c = 'like true'",
            "CREATE TABLE a (b {i64} NOT NULL, d {f64}) {strict}",
        ] {
            assert_eq!(objections(good), Vec::<String>::new(), "{good}");
        }
    }
}
