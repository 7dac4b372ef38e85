//! Packets of one track out of a container, bounded, until the file ends or breaks.

use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatReader, Track};
use symphonia::core::packet::Packet;
use symphonia::core::units::TimeBase;

use super::coded::Coded;
use super::guard::guarded;
use super::open::first_sound;

/// Most packets without one sample in a row.
const MOST_BARREN: u32 = 4_096;

/// The next thing a container gives.
pub(super) enum Pulled {
    /// A packet of the track.
    Packet(Packet),
    /// The track list changed; the decoder was made anew.
    Renewed(Box<Coded>),
    /// The end.
    End,
    /// The bytes end where a packet should be.
    Cut,
    /// The structure is broken, in words.
    Broken(String),
    /// The place of the file refused.
    Io(std::io::Error),
}

/// A container and the track that is pulled out of it.
pub(super) struct Pull {
    reader: Box<dyn FormatReader>,
    track: u32,
    time_base: Option<TimeBase>,
    announced: Option<u64>,
    barren: u32,
}

impl Pull {
    /// Starts at the first packet.
    pub fn new(reader: Box<dyn FormatReader>, track: &Track) -> Self {
        Self {
            reader,
            track: track.id,
            time_base: track.time_base,
            announced: track.num_frames,
            barren: 0,
        }
    }

    /// Returns the samples per channel the head announces, where it does.
    pub const fn announced(&self) -> Option<u64> {
        self.announced
    }

    /// Returns the length of a packet in seconds, or 0 where that is unknown.
    pub fn seconds(&self, packet: &Packet) -> f64 {
        let Some(base) = self.time_base else {
            return 0.0;
        };
        base.calc_duration(packet.dur)
            .map_or(0.0, |time| time.as_secs_f64())
    }

    /// Says whether the last packet gave samples.
    pub fn gave(&mut self, samples: bool) {
        self.barren = if samples { 0 } else { self.barren + 1 };
    }

    /// Pulls the next packet of the track.
    pub fn next(&mut self) -> Pulled {
        if self.barren > MOST_BARREN {
            return Pulled::Broken(format!("{MOST_BARREN} packets in a row without sound"));
        }
        loop {
            let reader = &mut self.reader;
            match guarded(|| reader.next_packet()) {
                Ok(Some(packet)) if packet.track_id == self.track => return Pulled::Packet(packet),
                Ok(Some(_)) => {}
                Ok(None) => return Pulled::End,
                Err(Error::ResetRequired) => return self.renew(),
                Err(Error::IoError(e)) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
                    return Pulled::Cut;
                }
                Err(Error::IoError(e)) if e.raw_os_error().is_some() => return Pulled::Io(e),
                Err(other) => return Pulled::Broken(other.to_string()),
            }
        }
    }

    /// A chained Ogg stream starts anew with tracks of its own.
    fn renew(&mut self) -> Pulled {
        self.gave(false);
        let Some((track, params)) = first_sound(self.reader.as_ref()) else {
            return Pulled::Broken("it goes on without a sound track".to_owned());
        };
        self.track = track.id;
        self.time_base = track.time_base;
        self.announced = None;
        match Coded::new(&params) {
            Ok(coded) => Pulled::Renewed(Box::new(coded)),
            Err(error) => Pulled::Broken(error.to_string()),
        }
    }
}
