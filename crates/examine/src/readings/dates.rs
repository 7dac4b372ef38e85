//! Date columns, and whether day or month comes first in them.
//! Both columns of a file share an order. Where nothing decides it, day first is assumed and noted.

use jiff::civil::Date;

use super::column::Read;
use crate::cell::{self, DateOrder, DateReading};
use crate::header::{Field, Mapping};
use crate::options::Options;
use crate::table::Sheet;

/// Why an order was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum OrderBasis {
    /// The caller said so.
    Caller,
    /// A heading says so: `dd/mm/yyyy`.
    Header,
    /// Some date of the file is possible in this order only.
    Shown,
    /// The dates lie closer together, or not in the future, in this order.
    Closer,
    /// Nothing decides; day first is assumed.
    Assumed,
    /// No date of the file depends on it.
    NotNeeded,
}

/// A column of dates.
pub(crate) struct DateColumn {
    /// The readings.
    pub read: Read<DateReading>,
    /// The order in which it is read.
    pub order: DateOrder,
    /// Why.
    pub basis: OrderBasis,
    /// The latest year a two-digit year may mean.
    pub latest_year: i16,
}

impl DateColumn {
    /// Returns the date of a row.
    pub fn date(&self, sheet: &Sheet, row: usize) -> Option<Date> {
        self.read.at(sheet, row)?.date(self.order, self.latest_year)
    }

    /// Returns the date of a row with day and month the other way round, when that is a date too.
    pub fn swapped(&self, sheet: &Sheet, row: usize) -> Option<Date> {
        match self.read.at(sheet, row)? {
            reading @ DateReading::Numeric { .. } => {
                reading.date(self.order.other(), self.latest_year)
            }
            DateReading::Certain(date) | DateReading::Coerced(date) => swap(*date),
            DateReading::Absent | DateReading::Unreadable => None,
        }
    }
}

/// Returns the date with day and month exchanged, when that is a date.
pub(crate) fn swap(date: Date) -> Option<Date> {
    if date.day() > 12 || date.day() == date.month() {
        return None;
    }
    Date::new(date.year(), date.day(), date.month()).ok()
}

/// Reads both date columns.
pub(super) fn read(
    sheet: &Sheet,
    mapping: &Mapping,
    options: &Options<'_>,
) -> (Option<DateColumn>, Option<DateColumn>) {
    let date = Read::of(sheet, mapping, Field::Date, cell::date);
    let birth = Read::of(sheet, mapping, Field::BirthDate, cell::date);
    let latest = latest_year(&[date.as_ref(), birth.as_ref()], options);
    let (order, basis) = match options.date_order {
        Some(order) => (order, OrderBasis::Caller),
        None => match written_order(mapping) {
            Some(order) => (order, OrderBasis::Header),
            None => decide(date.as_ref(), birth.as_ref(), latest, options),
        },
    };
    let column = |read: Option<Read<DateReading>>| {
        read.map(|read| DateColumn {
            read,
            order,
            basis,
            latest_year: latest,
        })
    };
    (column(date), column(birth))
}

/// The order that a heading gives: `DOB (dd/mm/yyyy)`.
fn written_order(mapping: &Mapping) -> Option<DateOrder> {
    [Field::Date, Field::BirthDate]
        .into_iter()
        .find_map(|field| {
            let folded = crate::header::fold(&mapping.header_of(field)).replace(' ', "");
            let day_first =
                folded.contains("ddmm") || folded.contains("jjmm") || folded.contains("ttmm");
            if day_first {
                Some(DateOrder::DayFirst)
            } else {
                folded.contains("mmdd").then_some(DateOrder::MonthFirst)
            }
        })
}

/// The year of today, or of the latest date in full, or 2049 when the file has none.
fn latest_year(columns: &[Option<&Read<DateReading>>], options: &Options<'_>) -> i16 {
    if let Some(today) = options.context.today.or(options.context.day) {
        return today.year();
    }
    let full = columns
        .iter()
        .flatten()
        .flat_map(|c| c.kinds())
        .filter_map(|r| match r {
            DateReading::Certain(d) | DateReading::Coerced(d) => Some(d.year()),
            DateReading::Numeric {
                year,
                short_year: false,
                ..
            } => i16::try_from(*year).ok(),
            _ => None,
        });
    full.max().unwrap_or(2049)
}

fn decide(
    date: Option<&Read<DateReading>>,
    birth: Option<&Read<DateReading>>,
    latest: i16,
    options: &Options<'_>,
) -> (DateOrder, OrderBasis) {
    let kinds = || date.into_iter().chain(birth).flat_map(|c| c.kinds());
    if !kinds().any(|r| matches!(r, DateReading::Numeric { .. })) {
        return (DateOrder::DayFirst, OrderBasis::NotNeeded);
    }
    let votes = |order| kinds().filter(|r| r.only_order() == Some(order)).count();
    let (day, month) = (votes(DateOrder::DayFirst), votes(DateOrder::MonthFirst));
    if day + month > 0 {
        let order = if day >= month {
            DateOrder::DayFirst
        } else {
            DateOrder::MonthFirst
        };
        return (order, OrderBasis::Shown);
    }
    // Test days lie close together and not in the future.
    if let Some(date) = date {
        let spread = |order: DateOrder| {
            let days: Vec<Date> = date
                .kinds()
                .iter()
                .filter_map(|r| r.date(order, latest))
                .collect();
            let future = options
                .context
                .today
                .is_some_and(|today| days.iter().any(|d| *d > today));
            let span = match (days.iter().min(), days.iter().max()) {
                (Some(a), Some(z)) => z.duration_since(*a).as_hours() / 24,
                _ => 0,
            };
            (future, span)
        };
        let (by_day, by_month) = (spread(DateOrder::DayFirst), spread(DateOrder::MonthFirst));
        if by_month.0 != by_day.0 || by_month.1 * 3 < by_day.1 || by_day.1 * 3 < by_month.1 {
            let order = if by_month < by_day {
                DateOrder::MonthFirst
            } else {
                DateOrder::DayFirst
            };
            return (order, OrderBasis::Closer);
        }
    }
    (DateOrder::DayFirst, OrderBasis::Assumed)
}
