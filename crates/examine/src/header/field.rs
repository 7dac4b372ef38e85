//! The fields a column can hold, and their stored names.
//! Only names; which header means which field is in `words`.

use serde::{Serialize, Serializer};

macro_rules! fields {
    ($($(#[doc = $doc:literal])* $variant:ident => $name:literal,)*) => {
        /// What a column holds.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Field {
            $($(#[doc = $doc])* $variant,)*
        }

        impl Field {
            /// Every field.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Returns the name used in reports and for choosing a mapping by hand.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }
        }
    };
}

fields! {
    /// Whole name of a person.
    Name => "name",
    /// Given name.
    GivenName => "given_name",
    /// Family name.
    FamilyName => "family_name",
    /// An id that another system gave the person.
    ExternalId => "external_id",
    /// Other names the person goes by, separated by `;` or `/`.
    Aliases => "aliases",
    /// Bib or lane number worn on the day.
    Bib => "bib",
    /// Date of birth.
    BirthDate => "birth_date",
    /// Age, years.
    Age => "age",
    /// Sex category used for references.
    Sex => "sex",
    /// Squad, team or class.
    Squad => "squad",
    /// Day of the test.
    Date => "date",
    /// Id or name of the test.
    Test => "test",
    /// Label of the last completed bout, such as `14.3`.
    Label => "label",
    /// Stage part of a label kept in its own column.
    Stage => "stage",
    /// Bout part of a label kept in its own column.
    BoutInStage => "bout_in_stage",
    /// Completed bouts, counted over the whole test.
    Bouts => "bouts",
    /// Completed shuttles or laps, counted over the whole test.
    Shuttles => "shuttles",
    /// Distance completed.
    Distance => "distance",
    /// Time from the first start to the stop, or the time of a run.
    Time => "time",
    /// Speed of the last completed stage.
    Speed => "speed",
    /// A result that the content must explain: label, distance, time or speed.
    Result => "result",
    /// Why the runner stopped.
    Reason => "reason",
    /// Free text.
    Notes => "notes",
    /// Attempt or trial number on the day.
    Attempt => "attempt",
    /// Who recorded the stop.
    Assessor => "assessor",
    /// Group that ran together.
    Wave => "wave",
    /// Place on the line.
    Lane => "lane",
    /// Device on which the stop was recorded.
    Device => "device",
    /// Clock time of the stop on that device.
    Timestamp => "timestamp",
    /// A heart rate, beats a minute.
    HeartRate => "heart_rate",
    /// Steps a minute.
    Cadence => "cadence",
    /// Distance of an earlier test.
    PreviousDistance => "previous_distance",
    /// Label of an earlier test.
    PreviousLabel => "previous_label",
    /// Centile looked up by hand.
    Centile => "centile",
    /// Reference table of that centile.
    Reference => "reference",
    /// People enrolled in the group.
    Enrolled => "enrolled",
    /// People of the group who were tested.
    Tested => "tested",
    /// Rating of perceived exertion.
    Exertion => "exertion",
    /// Hours or quality of sleep.
    Sleep => "sleep",
    /// Hours since the last meal.
    Meal => "meal",
    /// The runner's own rating of wanting to run, 1 to 10.
    Motivation => "motivation",
    /// Whether the runner was ill; never a diagnosis.
    Illness => "illness",
    /// Whether the runner had done the test before.
    Familiarity => "familiarity",
    /// Caffeine taken.
    Caffeine => "caffeine",
    /// Footwear.
    Shoes => "shoes",
    /// Surface run on.
    Surface => "surface",
    /// Air temperature, degrees Celsius.
    Temperature => "temperature",
    /// Relative humidity, per cent.
    Humidity => "humidity",
    /// Wind, metres a second.
    Wind => "wind",
    /// Encouragement given.
    Encouragement => "encouragement",
    /// Body mass, kilograms.
    BodyMass => "body_mass",
    /// Height, centimetres.
    Height => "height",
}

impl Field {
    /// Returns the field with this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .copied()
            .find(|field| field.as_str() == name)
    }

    /// Returns whether several columns may hold this field.
    pub const fn may_repeat(self) -> bool {
        matches!(self, Self::HeartRate | Self::Notes)
    }

    /// Returns whether a person's result is read from this field.
    pub const fn is_result(self) -> bool {
        matches!(
            self,
            Self::Label
                | Self::Stage
                | Self::BoutInStage
                | Self::Bouts
                | Self::Shuttles
                | Self::Distance
                | Self::Time
                | Self::Speed
        )
    }

    /// Returns whether this field says who a row is about.
    pub const fn is_identity(self) -> bool {
        matches!(
            self,
            Self::Name | Self::GivenName | Self::FamilyName | Self::ExternalId | Self::Bib
        )
    }

    /// Returns whether it is a condition stored with a result and never used to correct it.
    pub const fn is_covariate(self) -> bool {
        matches!(
            self,
            Self::Exertion
                | Self::Sleep
                | Self::Meal
                | Self::Motivation
                | Self::Illness
                | Self::Familiarity
                | Self::Caffeine
                | Self::Shoes
                | Self::Surface
                | Self::Temperature
                | Self::Humidity
                | Self::Wind
                | Self::Encouragement
                | Self::BodyMass
                | Self::Height
                | Self::HeartRate
                | Self::Cadence
        )
    }
}

impl Serialize for Field {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}
