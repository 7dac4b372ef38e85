//! Chooses the longest form of a phrase that fits, and joins its clips.
//! Must not return more samples than there is room for.

use std::ops::RangeInclusive;
use std::sync::{Arc, PoisonError};

use super::{Form, Phrase, Utterance, Voice, label, resample, shape};

/// Sample rates that can be asked for, and that a recording may have, in Hz.
pub(super) const RATES: RangeInclusive<u32> = 8_000..=192_000;

/// Silence between two words, in ms.
const WORD_GAP_MS: u32 = 25;

/// Silence between two halves of a phrase, in ms; the clips' own edges add about 20 ms.
const BREATH_MS: u32 = 40;

const FORMS: [Form; 3] = [Form::Full, Form::Short, Form::Shortest];

/// A clip to be said, and whether a breath comes before it.
struct Word {
    key: String,
    breath: bool,
}

impl Voice {
    /// Says the longest form of `phrase` that fits into `room_samples` samples at `rate` Hz.
    ///
    /// The forms are tried in the order full ("stage 14, bout 3"), short ("14, 3"), shortest (only the part that
    /// changes). `None` when not even the shortest fits, when a label is not a number of 0 to 60 with at most one
    /// decimal, and when `rate` is outside 8000 to 192000.
    pub fn say(&self, phrase: &Phrase, rate: u32, room_samples: usize) -> Option<Utterance> {
        if !RATES.contains(&rate) {
            return None;
        }
        let (words, form) = self
            .forms_of(phrase)?
            .into_iter()
            .zip(FORMS)
            .filter_map(|(words, form)| Some((words?, form)))
            .find(|(words, _)| self.length(words, rate).is_some_and(|n| n <= room_samples))?;
        Some(Utterance {
            samples: self.join(&words, rate)?,
            form,
            text: self.text(&words),
        })
    }

    /// Returns the forms of a phrase, longest first; a form that this language cannot say is `None` in its place.
    fn forms_of(&self, phrase: &Phrase) -> Option<Vec<Option<Vec<Word>>>> {
        let single = |key: &str| Some(vec![Some(vec![Word::new(key)])]);
        match phrase {
            Phrase::StageBout {
                stage,
                bout,
                new_stage,
            } => {
                // Never half of it: a bout without its stage would be taken for another one.
                if !self.sayable(stage) || !self.sayable(bout) {
                    return None;
                }
                let new = if *new_stage { stage } else { bout };
                self.fill(
                    "stage-bout",
                    &[("{stage}", stage), ("{bout}", bout), ("{new}", new)],
                )
            }
            Phrase::Stage { stage } => self.fill("stage", &[("{n}", stage)]),
            Phrase::Number(number) => self.fill("number", &[("{n}", &number.to_string())]),
            Phrase::StartsIn { seconds: 0 } => None,
            Phrase::StartsIn { seconds } => {
                let seconds = seconds.to_string();
                self.fill("starts-in", &[("{n}", &seconds), ("{seconds}", &seconds)])
            }
            Phrase::Rest => single("rest"),
            Phrase::Ready => single("ready"),
            Phrase::StopNow => single("stop-now"),
            Phrase::TestEnds => single("test-ends"),
            Phrase::WarmUp => single("warm-up"),
        }
    }

    /// Tells whether a label is a number that there are clips for.
    fn sayable(&self, label: &str) -> bool {
        label::read(label).is_some_and(|keys| keys.iter().all(|key| self.clips.contains_key(key)))
    }

    /// Puts labels into the templates of a phrase; a form with a label that is not a number is `None`.
    fn fill(&self, phrase: &str, labels: &[(&str, &String)]) -> Option<Vec<Option<Vec<Word>>>> {
        let templates = self.forms.get(phrase)?;
        Some(
            templates
                .iter()
                .map(|form| self.fill_form(form, labels))
                .collect(),
        )
    }

    fn fill_form(&self, form: &[String], labels: &[(&str, &String)]) -> Option<Vec<Word>> {
        let mut words: Vec<Word> = Vec::new();
        let mut breath = false;
        for part in form {
            if part == "," {
                breath = true;
                continue;
            }
            let label = labels
                .iter()
                .find(|(name, _)| name == part)
                .map(|(_, text)| *text);
            let keys = match label {
                Some(text) if part == "{seconds}" => self.seconds(text)?,
                Some(text) => label::read(text)?,
                None => vec![part.clone()],
            };
            for key in keys {
                if !self.clips.contains_key(&key) {
                    return None;
                }
                words.push(Word { key, breath });
                breath = false;
            }
        }
        Some(words)
    }

    /// Returns the clips for a count of seconds with its unit: one clip where there is one, because the words agree.
    fn seconds(&self, text: &str) -> Option<Vec<String>> {
        let own = format!("seconds-{text}");
        if self.clips.contains_key(&own) {
            return Some(vec![own]);
        }
        let count: u32 = text.parse().ok()?;
        (!self.odd_seconds.contains(&count)).then(|| vec![text.to_owned(), "seconds".to_owned()])
    }

    /// Returns the length of the words in samples.
    fn length(&self, words: &[Word], rate: u32) -> Option<usize> {
        let mut total = 0;
        for (i, word) in words.iter().enumerate() {
            let clip = self.clips.get(&word.key)?;
            total += word.gap(i, rate) + resample::length(clip.samples.len(), clip.rate, rate);
        }
        Some(total)
    }

    fn join(&self, words: &[Word], rate: u32) -> Option<Arc<[f32]>> {
        let mut samples = Vec::with_capacity(self.length(words, rate)?);
        for (i, word) in words.iter().enumerate() {
            samples.resize(samples.len() + word.gap(i, rate), 0.0);
            samples.extend_from_slice(&self.at_rate(&word.key, rate)?);
        }
        Some(samples.into())
    }

    /// Returns a clip at `rate`, from the cache where it was used before.
    fn at_rate(&self, key: &str, rate: u32) -> Option<Arc<[f32]>> {
        let place = (key.to_owned(), rate);
        let mut cache = self.cache.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(samples) = cache.get(&place) {
            return Some(Arc::clone(samples));
        }
        let clip = self.clips.get(key)?;
        let mut samples = resample::resample(&clip.samples, clip.rate, rate)?;
        for sample in &mut samples {
            *sample = sample.clamp(-1.0, 1.0);
        }
        shape::fade(&mut samples, rate);
        let samples: Arc<[f32]> = samples.into();
        cache.insert(place, Arc::clone(&samples));
        Some(samples)
    }

    fn text(&self, words: &[Word]) -> String {
        let mut text = String::new();
        for (i, word) in words.iter().enumerate() {
            text.push_str(match (i, word.breath) {
                (0, _) => "",
                (_, true) => self.language.comma(),
                (_, false) => self.language.space(),
            });
            text.push_str(self.clips.get(&word.key).map_or("", |clip| &clip.text));
        }
        text
    }
}

impl Word {
    fn new(key: &str) -> Self {
        Self {
            key: key.to_owned(),
            breath: false,
        }
    }

    /// Returns the silence before the word number `i` of a phrase, in samples.
    fn gap(&self, i: usize, rate: u32) -> usize {
        let ms = match (i, self.breath) {
            (0, _) => 0,
            (_, true) => BREATH_MS,
            (_, false) => WORD_GAP_MS,
        };
        (rate * ms).div_ceil(1000) as usize
    }
}
