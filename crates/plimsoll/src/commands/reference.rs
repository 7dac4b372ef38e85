//! `plimsoll reference`: where a value stands, and references fitted to own data.

use std::path::{Path, PathBuf};

use plimsoll_desk::reference::{
    About, Columns, FitAsk, Fitted, ReferenceSample, curve_rows, document, figures, files,
    fit_reference, metric_words, read_sample, standing_in, standing_of_lms, verdict,
};
use plimsoll_interpret::reference::ReferenceQuery;
use plimsoll_interpret::{Catalogue as Facts, Sex, SexGroup};
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::model::model;
use super::study::{failure, file_name, read_bytes};
use crate::cli::{ReferenceCommand, ReferenceFit, ReferenceZ};
use crate::failure::{Failure, Found};
use crate::places::{Session, make_folder, write_whole};
use crate::print::{self, Align};

/// Does what is asked of references.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: impl Fn() -> Result<Facts, Failure>,
    command: &ReferenceCommand,
) -> Result<Found, Failure> {
    match command {
        ReferenceCommand::Z(args) => z(session, catalogue, facts, args),
        ReferenceCommand::Fit(args) => fit(session, catalogue, &facts()?, args),
    }
}

fn z(
    session: &Session,
    catalogue: &Catalogue,
    facts: impl Fn() -> Result<Facts, Failure>,
    args: &ReferenceZ,
) -> Result<Found, Failure> {
    let standing = match (args.l, args.m, args.s, &args.test) {
        (Some(l), Some(m), Some(s), None) => standing_of_lms(l, m, s, args.value).map_err(|e| {
            Failure::new(e).hint("M, S and the value are above 0; S is a fraction such as 0.12")
        })?,
        (_, _, _, Some(test)) => {
            let (test, facts) = (super::known_test(catalogue, test)?, facts()?);
            standing_in(&facts, &query(&facts, test.id(), args)?).map_err(|e| {
                Failure::new(e).hint("--value is in the unit of the test, --age in years")
            })?
        }
        _ => {
            return Err(
                Failure::new("a z needs --l, --m and --s, or --test, --sex and --age")
                    .hint("see `plimsoll reference z --help`"),
            );
        }
    };
    if session.json {
        print::json(&json!({
            "z": standing.z,
            "centile": standing.centile,
            "reference": standing.reference,
            "others": standing.others,
            "words": standing.words,
        }))?;
    } else {
        for words in &standing.words {
            print::text(print::wrapped(words, 96))?;
        }
    }
    Ok(Found::Nothing)
}

fn query(facts: &Facts, test: &str, args: &ReferenceZ) -> Result<ReferenceQuery, Failure> {
    let written = args.sex.as_deref().unwrap_or_default();
    let sex = match SexGroup::parse(written) {
        Some(SexGroup::Male) => Sex::Male,
        Some(SexGroup::Female) => Sex::Female,
        _ => {
            return Err(
                Failure::new(format!("--sex is `{written}`; allowed are M and F"))
                    .hint("references are split by sex; say which to compare with"),
            );
        }
    };
    if let Some(age) = args.age.filter(|age| !(0.0..=120.0).contains(age)) {
        return Err(
            Failure::new(format!("--age is {age}; allowed are 0 to 120 years")).hint("write years"),
        );
    }
    Ok(ReferenceQuery {
        test: test.to_owned(),
        metric: metric(facts, Some(test), args.metric.as_deref()),
        sex: Some(sex),
        age_years: args.age,
        standard: args.standard.clone(),
        value: Some(args.value),
        from_memory: args.from_memory,
        is_estimate: false,
    })
}

fn metric(facts: &Facts, test: Option<&str>, said: Option<&str>) -> String {
    let scale = test.and_then(|t| facts.scale(t));
    said.or_else(|| scale.map(|s| s.unit.quantity()))
        .unwrap_or("value")
        .to_owned()
}

fn fit(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &ReferenceFit,
) -> Result<Found, Failure> {
    let test = args
        .test
        .as_deref()
        .map(|id| super::known_test(catalogue, id))
        .transpose()?;
    let test = test.map(plimsoll_ladder::Test::id);
    let ask = FitAsk {
        model: model(args)?,
        limit: args.limit,
        ..FitAsk::default()
    };
    if !(args.limit.is_finite() && args.limit > 0.0) {
        return Err(Failure::new(format!(
            "--limit is {}; allowed is a number above 0",
            args.limit
        ))
        .hint("0.25 z units keeps a centile within one channel of a chart"));
    }
    let scale = test.and_then(|t| facts.scale(t));
    let unit = args
        .unit
        .clone()
        .or_else(|| scale.map(|s| s.unit.as_str().to_owned()))
        .unwrap_or_default();
    let metric = metric(facts, test, args.metric.as_deref());
    let name = file_name(&args.file);
    let columns = Columns {
        age: args.age_column.clone(),
        value: args.value_column.clone(),
        binned: args.binned,
    };
    let sample = read_sample(
        &name,
        &read_bytes(&args.file)?,
        args.sheet.as_deref(),
        &columns,
    )
    .map_err(failure)?;
    let fitted = fit_reference(&sample, ask).map_err(|e| {
        failure(e).hint("--polynomial 0,1,0 asks least of the data; a constant is degree 0")
    })?;
    let written = write(
        args,
        &fitted,
        &sample,
        &about(args, test, &metric, &unit, &sample, &name)?,
    )?;
    let mut whole = document(&fitted);
    whole["notes"] = json!(sample.notes);
    whole["files"] = json!(written);
    if session.json {
        print::json(&whole)?;
    } else {
        print::text(words(&fitted, &whole, &sample, &unit))?;
        for path in &written {
            print::text(format!("wrote {}", path.display()))?;
        }
    }
    Ok(Found::any(fitted.needs_a_person()))
}

fn about(
    args: &ReferenceFit,
    test: Option<&str>,
    metric: &str,
    unit: &str,
    sample: &ReferenceSample,
    name: &str,
) -> Result<About, Failure> {
    let written = args.sex.as_deref().unwrap_or("M+F");
    if SexGroup::parse(written).is_none() {
        return Err(
            Failure::new(format!("--sex is `{written}`; allowed are M, F and M+F"))
                .hint("a reference for both sexes together is graded lower"),
        );
    }
    let stem = args
        .out
        .as_deref()
        .and_then(Path::file_stem)
        .map(|s| s.to_string_lossy().into_owned());
    let title = format!(
        "{} in {}, {written}, fitted to {name}",
        metric_words(metric),
        test.unwrap_or("own data")
    );
    Ok(About {
        id: stem.unwrap_or_else(|| "own".to_owned()),
        title: args.title.clone().unwrap_or(title),
        test: test.unwrap_or_default().to_owned(),
        metric: metric.to_owned(),
        unit: if unit.is_empty() {
            "unit".to_owned()
        } else {
            unit.to_owned()
        },
        sex: written.to_owned(),
        sport: args.sport.clone(),
        standard: args.standard.clone(),
        source: args
            .source
            .clone()
            .unwrap_or_else(|| format!("own data: {name}")),
        licence: args.licence.clone(),
        sha256: sample.sha256.clone(),
    })
}

fn write(
    args: &ReferenceFit,
    fitted: &Fitted,
    sample: &ReferenceSample,
    about: &About,
) -> Result<Vec<PathBuf>, Failure> {
    let mut texts: Vec<(PathBuf, String)> = Vec::new();
    let folder = match (&args.figures, &args.out) {
        (Some(folder), _) => Some(folder.clone()),
        (None, Some(out)) => out.parent().map(Path::to_owned),
        (None, None) => None,
    };
    if let Some(out) = &args.out {
        if out.extension().and_then(|e| e.to_str()) != Some("csv") {
            return Err(
                Failure::new(format!("--out is {}; it must end in .csv", out.display()))
                    .hint("the TOML header is written beside it"),
            );
        }
        let made = files(fitted, about).map_err(failure)?;
        texts.push((out.clone(), made.csv));
        texts.push((out.with_extension("toml"), made.toml));
    }
    if let Some(folder) = folder {
        let drawn = figures(
            fitted,
            sample,
            &about.metric,
            if about.unit == "unit" {
                ""
            } else {
                &about.unit
            },
        );
        texts.push((
            folder.join(format!("{}-centiles.svg", about.id)),
            drawn.centiles.svg,
        ));
        texts.extend(
            drawn
                .worms
                .map(|f| (folder.join(format!("{}-worms.svg", about.id)), f.svg)),
        );
        if !folder.as_os_str().is_empty() {
            make_folder(&folder)?;
        }
    }
    let mut written = Vec::new();
    for (path, text) in texts {
        write_whole(&path, text.as_bytes())?;
        written.push(path);
    }
    Ok(written)
}

fn words(fitted: &Fitted, whole: &Value, sample: &ReferenceSample, unit: &str) -> String {
    let mut out: Vec<String> = verdict(fitted)
        .iter()
        .map(|w| print::wrapped(w, 96))
        .collect();
    out.push(String::new());
    let (head, rows) = curve_rows(fitted, unit);
    let head: Vec<(&str, Align)> = head.iter().map(|h| (h.as_str(), Align::Right)).collect();
    out.push(print::table(&head, &rows));
    out.push(String::new());
    for (key, name) in [
        ("mean", "mean"),
        ("variance", "variance"),
        ("skewness", "skewness"),
        ("kurtosis", "kurtosis"),
    ] {
        let q = &whole["q"][key];
        if let (Some(found), Some(df)) = (q["q"].as_f64(), q["df"].as_f64()) {
            let p = q["p"]
                .as_f64()
                .map_or("no degrees of freedom left".to_owned(), |p| {
                    format!("p {p:.3}")
                });
            out.push(format!(
                "Q of the {name}: {found:.2} on {df:.1} degrees of freedom, {p}"
            ));
        }
    }
    let record = &whole["convergence"];
    out.push(format!(
        "fit: {} after {} steps; log-likelihood {:.3}; effective degrees of freedom {:.1}",
        record["stop"].as_str().unwrap_or_default(),
        record["iterations"],
        fitted.fit.log_likelihood(),
        fitted.fit.effective_df().iter().sum::<f64>()
    ));
    out.extend(
        sample
            .notes
            .iter()
            .map(|n| print::hanging(&format!("· {n}"), 96)),
    );
    out.join("\n")
}
