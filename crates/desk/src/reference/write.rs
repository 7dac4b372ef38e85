//! A fitted reference as two files of the format of `references/`: a TOML header and a CSV of L, M, S.
//! A fit that did not end is not written.

use plimsoll_measure::MeasureError;

use super::fitted::Fitted;
use crate::study::StudyError;

/// What the fit cannot know about its people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// Short id, unique among populations.
    pub id: String,
    /// What it is.
    pub title: String,
    /// Id of the test definition.
    pub test: String,
    /// What is measured, such as `distance_m`.
    pub metric: String,
    /// Unit of the values.
    pub unit: String,
    /// M, F or M+F.
    pub sex: String,
    /// Sport; may be empty.
    pub sport: String,
    /// Playing standard; may be empty.
    pub standard: String,
    /// Where the data come from.
    pub source: String,
    /// Licence of the data.
    pub licence: String,
    /// SHA-256 of the file the curves were fitted to.
    pub sha256: String,
}

/// Texts of the two files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReferenceFiles {
    /// The header.
    pub toml: String,
    /// The table.
    pub csv: String,
}

#[derive(serde::Serialize)]
struct Header<'a> {
    format: u32,
    kind: &'a str,
    id: &'a str,
    title: &'a str,
    source: &'a str,
    licence: &'a str,
    read: String,
    note: String,
    rows: usize,
}

/// Returns the files of a fit.
///
/// # Errors
///
/// [`StudyError`] when the fit did not end.
pub fn files(fitted: &Fitted, about: &About) -> Result<ReferenceFiles, StudyError> {
    let record = fitted.fit.convergence();
    if !record.converged {
        return Err(StudyError::Measure(MeasureError::NotConverged {
            what: "the fit of the reference",
            iterations: record.iterations,
        }));
    }
    let people = fitted.fit.people();
    let mut csv = String::from(
        "test,metric,unit,sport,standard,sex,age,age_min,age_max,age_basis,n,kind,l,m,s,source,confidence\n",
    );
    let (first, last) = fitted.fit.ages();
    for (age, (l, m, s)) in &fitted.table {
        let cells = [
            about.test.clone(),
            about.metric.clone(),
            about.unit.clone(),
            about.sport.clone(),
            about.standard.clone(),
            about.sex.clone(),
            format!("{first:.1}-{last:.1}"),
            exact(*age),
            exact(*age),
            "fitted curve".to_owned(),
            format!("{people:.0}"),
            "lms".to_owned(),
            exact(*l),
            exact(*m),
            exact(*s),
            about.source.clone(),
            "derived arithmetic".to_owned(),
        ];
        let cells: Vec<String> = cells.iter().map(|cell| quoted(cell)).collect();
        csv.push_str(&cells.join(","));
        csv.push('\n');
    }
    let refused: Vec<String> = fitted
        .refused()
        .iter()
        .map(|(p, a, b)| format!("P{p} at {a:.1}-{b:.1} y"))
        .collect();
    let mut note =
        format!("L, M and S fitted to {people:.0} people; L, M, S linear between the rows");
    if !refused.is_empty() {
        note.push_str(&format!(
            "; too uncertain to be used: {}",
            refused.join(", ")
        ));
    }
    if fitted.needs_a_person() {
        note.push_str("; SHAPE ALARM: the data do not have the shape of L, M and S");
    }
    let header = Header {
        format: 1,
        kind: "population",
        id: &about.id,
        title: &about.title,
        source: &about.source,
        licence: &about.licence,
        read: format!(
            "fitted by plimsoll from the file whose SHA-256 begins {}",
            about.sha256.get(..16).unwrap_or_default()
        ),
        note,
        rows: fitted.table.len(),
    };
    let toml = toml::to_string(&header).map_err(|e| {
        StudyError::Measure(MeasureError::Undefined {
            what: "the header of the reference",
            why: e.to_string(),
        })
    })?;
    Ok(ReferenceFiles { toml, csv })
}

/// Ten digits: more than a fit is good for, and stable from machine to machine.
fn exact(value: f64) -> String {
    let text = format!("{value:.9e}");
    text.parse::<f64>().map_or(text, |v| v.to_string())
}

fn quoted(cell: &str) -> String {
    let plain: String = cell
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if plain.contains([',', '"']) {
        format!("\"{}\"", plain.replace('"', "\"\""))
    } else {
        plain
    }
}
