//! What is handed in: response, fixed and random columns, weights, settings.
//! Plain lists, one value a row; nothing is checked here.

/// A named list of numbers, one a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Name, used in results and faults.
    pub name: String,
    /// One value a row.
    pub values: Vec<f64>,
}

impl Column {
    /// Makes a column.
    pub fn new(name: impl Into<String>, values: Vec<f64>) -> Self {
        Self {
            name: name.into(),
            values,
        }
    }
}

/// A grouping factor with the columns whose effects vary between its levels.
#[derive(Debug, Clone, PartialEq)]
pub struct RandomTerm {
    /// Name of the grouping factor.
    pub name: String,
    /// Level of the factor, one a row; any whole numbers.
    pub groups: Vec<usize>,
    /// The columns: an intercept, slopes.
    pub columns: Vec<Column>,
    /// Whether the effects of one level may be correlated; else all correlations are 0.
    pub correlated: bool,
}

impl RandomTerm {
    /// Makes a term with a random intercept only.
    pub fn intercept(name: impl Into<String>, groups: Vec<usize>) -> Self {
        let ones = vec![1.0; groups.len()];
        Self::new(name, groups, vec![Column::new("(Intercept)", ones)])
    }

    /// Makes a term with correlated effects of `columns`.
    pub fn new(name: impl Into<String>, groups: Vec<usize>, columns: Vec<Column>) -> Self {
        Self {
            name: name.into(),
            groups,
            columns,
            correlated: true,
        }
    }

    /// Returns the term with all correlations held at 0.
    pub fn uncorrelated(mut self) -> Self {
        self.correlated = false;
        self
    }
}

/// The right-hand side of a model.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Design {
    /// Fixed columns, the intercept among them if wanted.
    pub fixed: Vec<Column>,
    /// Random terms.
    pub random: Vec<RandomTerm>,
}

/// What is known about the error of each row.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Weights {
    /// The same unknown error variance in every row.
    #[default]
    Equal,
    /// Error variance sigma^2 / weight, weights above 0, sigma unknown.
    Prior(Vec<f64>),
    /// Error variance known for each row, above 0, unit of the response squared.
    KnownVariance(Vec<f64>),
}

/// A response with its design.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Data {
    /// The response, one value a row.
    pub response: Vec<f64>,
    /// Fixed and random columns.
    pub design: Design,
    /// What is known about the error of each row.
    pub weights: Weights,
}

/// The criterion that is made as large as possible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Criterion {
    /// Residual (restricted) likelihood: variances less biased; not for comparing fixed columns.
    Reml,
    /// Likelihood: for comparing fixed columns and for profile intervals.
    Ml,
}

/// How the random effects are eliminated; both give the same numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Structure {
    /// Rows without a common level are kept apart: fast for grouped and nested data.
    #[default]
    Disjoint,
    /// Everything in one block, as for crossed data; for checking.
    OneBlock,
}

/// Settings of a fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// REML or ML.
    pub criterion: Criterion,
    /// Most evaluations of the deviance before giving up; 20 000 by default.
    pub max_evaluations: usize,
    /// How the random effects are eliminated.
    pub structure: Structure,
}

impl Settings {
    /// Returns the usual settings for a criterion.
    pub fn new(criterion: Criterion) -> Self {
        Self {
            criterion,
            max_evaluations: 20_000,
            structure: Structure::default(),
        }
    }
}
