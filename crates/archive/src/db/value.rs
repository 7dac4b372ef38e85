//! The values and statements that cross the database seam.
//! Must not know any engine. The rules: `docs/formats/archive-schema.md`, "Portable SQL".

use std::borrow::Cow;

/// A value as every engine keeps it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum V {
    /// Nothing recorded.
    Null,
    /// BIGINT: whole numbers, flags (0 or 1) and instants in milliseconds.
    I(i64),
    /// DOUBLE PRECISION.
    F(f64),
    /// TEXT.
    T(String),
    /// Bytes. No table uses them yet; damage can still make an engine return some.
    B(Vec<u8>),
}

/// One row, in the order of the statement's columns.
pub(crate) type Row = Vec<V>;

/// A statement with its arguments, `$1` first.
#[derive(Debug, Clone)]
pub(crate) struct Stmt {
    /// Portable SQL text.
    pub(crate) sql: Cow<'static, str>,
    /// One value for each placeholder.
    pub(crate) args: Vec<V>,
}

impl Stmt {
    /// Returns a statement without arguments.
    pub(crate) fn new(sql: impl Into<Cow<'static, str>>) -> Self {
        Self {
            sql: sql.into(),
            args: Vec::new(),
        }
    }

    /// Returns the statement with one more argument.
    pub(crate) fn with(mut self, value: impl Into<V>) -> Self {
        self.args.push(value.into());
        self
    }
}

impl From<i64> for V {
    fn from(value: i64) -> Self {
        Self::I(value)
    }
}

impl From<u32> for V {
    fn from(value: u32) -> Self {
        Self::I(i64::from(value))
    }
}

impl From<f64> for V {
    /// Minus zero becomes zero, because not every engine keeps the sign.
    fn from(value: f64) -> Self {
        Self::F(value + 0.0)
    }
}

impl From<bool> for V {
    fn from(value: bool) -> Self {
        Self::I(i64::from(value))
    }
}

impl From<&str> for V {
    fn from(value: &str) -> Self {
        Self::T(value.to_owned())
    }
}

impl From<String> for V {
    fn from(value: String) -> Self {
        Self::T(value)
    }
}

impl<T: Into<V>> From<Option<T>> for V {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Null, Into::into)
    }
}
