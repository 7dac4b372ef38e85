//! Checks against outside numbers.

mod scipy_audio_alignment;
