//! What is asked of the rows: the outcome, what is allowed for, the groups.
//! One plain form for a group: `athlete`, `athlete,slope=week`, `athlete,within=club,uncorrelated`.

use std::str::FromStr;

use super::error::MixedError;

/// A grouping of the rows whose levels scatter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GroupAsk {
    /// The column of the levels.
    pub column: String,
    /// A column in which the levels lie: the same label in another one is another level.
    pub within: Option<String>,
    /// Columns whose effect differs from level to level.
    pub slopes: Vec<String>,
    /// Whether level and slope may go together.
    pub correlated: bool,
}

impl GroupAsk {
    /// Returns a group whose levels differ in height only.
    pub fn of(column: &str) -> Self {
        Self {
            column: column.to_owned(),
            within: None,
            slopes: Vec::new(),
            correlated: true,
        }
    }

    /// Returns the name in results.
    pub fn name(&self) -> String {
        match &self.within {
            Some(outer) => format!("{} within {outer}", self.column),
            None => self.column.clone(),
        }
    }
}

impl FromStr for GroupAsk {
    type Err = MixedError;

    fn from_str(written: &str) -> Result<Self, MixedError> {
        let fault = |found: String| MixedError::Group {
            written: written.to_owned(),
            found,
        };
        let mut parts = written.split(',').map(str::trim);
        let first = parts.next().unwrap_or_default();
        if first.is_empty() {
            return Err(fault("the column of the levels is missing".to_owned()));
        }
        if first.contains(['|', '(', '~', '=']) {
            return Err(fault(format!("`{first}` is not the name of a column")));
        }
        let mut group = Self::of(first);
        for part in parts {
            match part.split_once('=').map(|(k, v)| (k.trim(), v.trim())) {
                Some(("slope", column)) if !column.is_empty() => {
                    if column == group.column || group.slopes.iter().any(|s| s == column) {
                        return Err(fault(format!("the slope `{column}` is there already")));
                    }
                    group.slopes.push(column.to_owned());
                }
                Some(("within", column)) if !column.is_empty() && column != group.column => {
                    if group.within.is_some() {
                        return Err(fault("`within` stands twice".to_owned()));
                    }
                    group.within = Some(column.to_owned());
                }
                None if part == "uncorrelated" => group.correlated = false,
                _ => return Err(fault(format!("`{part}` is not understood"))),
            }
        }
        if !group.correlated && group.slopes.is_empty() {
            return Err(fault(
                "`uncorrelated` needs a slope that it could go with".to_owned(),
            ));
        }
        Ok(group)
    }
}

/// What is asked of the rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The column to explain.
    pub outcome: String,
    /// Columns and products of columns (`a:b`) that are allowed for.
    pub fixed: Vec<String>,
    /// Columns of categories among them, whatever their cells look like.
    pub factors: Vec<String>,
    /// The groups.
    pub groups: Vec<GroupAsk>,
    /// The column with the known error (SE) of each outcome, in the unit of the outcome.
    pub error: Option<String>,
    /// Whether the logarithm of the outcome is taken, so that differences are percent.
    pub log: bool,
    /// ML instead of REML.
    pub ml: bool,
    /// Level of the intervals, 0.5 to 0.999.
    pub level: f64,
    /// Whether every part gets its profile interval, however long it takes.
    pub profile: bool,
}

impl Ask {
    /// Returns a question about a column, with nothing allowed for and no groups yet.
    pub fn about(outcome: &str) -> Self {
        Self {
            outcome: outcome.to_owned(),
            fixed: Vec::new(),
            factors: Vec::new(),
            groups: Vec::new(),
            error: None,
            log: false,
            ml: false,
            level: 0.9,
            profile: false,
        }
    }

    /// Returns the fixed terms, each a list of columns; categories that stand nowhere stand alone.
    pub(super) fn terms(&self, is_column: impl Fn(&str) -> bool) -> Vec<Vec<String>> {
        let mut terms: Vec<Vec<String>> = Vec::new();
        for written in self.fixed.iter().chain(&self.factors) {
            let written = written.trim();
            let term: Vec<String> = if is_column(written) {
                vec![written.to_owned()]
            } else {
                written.split(':').map(|c| c.trim().to_owned()).collect()
            };
            if !written.is_empty() && !terms.contains(&term) {
                terms.push(term);
            }
        }
        terms
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_are_read_in_one_form() {
        let group: GroupAsk = "athlete, slope=week ,within=club,uncorrelated"
            .parse()
            .expect("a group");
        assert_eq!(group.name(), "athlete within club");
        assert_eq!(group.slopes, ["week"]);
        assert!(!group.correlated);
        for bad in [
            "",
            "(1|athlete)",
            "athlete,slope",
            "athlete,slope=",
            "athlete,uncorrelated",
            "athlete,slope=week,slope=week",
            "athlete,slope=athlete",
            "athlete:week,slop=week",
            "athlete,within=a,within=b",
        ] {
            let fault = bad.parse::<GroupAsk>().expect_err(bad).to_string();
            assert!(
                fault.contains("`athlete,slope=week,uncorrelated`"),
                "{fault}"
            );
        }
    }
}
