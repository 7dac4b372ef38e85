//! Enumerations that are stored as words.
//! Must not hold words for people: those belong to whoever shows them.

/// A value stored as one of a fixed list of words.
pub trait Word: Copy + Sized + 'static {
    /// Every stored word, in order.
    const WORDS: &'static [&'static str];
    /// Returns the stored word.
    fn as_str(self) -> &'static str;
    /// Returns the value of a stored word, or nothing for a word it does not know.
    fn from_word(word: &str) -> Option<Self>;
}

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident { $($(#[$item:meta])* $variant:ident = $word:literal,)* })*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name {
            $($(#[$item])* $variant,)*
        }

        impl $crate::words::Word for $name {
            const WORDS: &'static [&'static str] = &[$($word),*];

            fn as_str(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)*
                }
            }

            fn from_word(word: &str) -> Option<Self> {
                match word {
                    $($word => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }
    )*};
}

pub(crate) use words;
