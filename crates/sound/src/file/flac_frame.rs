//! The two simplest FLAC frames, written directly: one value throughout, and plain samples.
//! Must not compress: everything else goes through the encoder. Facts: RFC 9639, section 9.

/// Which channels a frame holds. Stereo is left plus a side channel of zeros.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Channels {
    One,
    TwoAlike,
}

/// Writes frames whose samples are all `value`, or are stored as they are.
pub(super) struct PlainFrames {
    pub rate: u32,
    pub channels: Channels,
}

impl PlainFrames {
    /// Puts frame `number` with `size` (1 to 65536) samples of one value into `out`.
    pub fn constant(&self, number: u32, size: usize, value: i16, out: &mut Vec<u8>) {
        self.head(number, size, out);
        out.push(0x00); // a constant subframe
        out.extend_from_slice(&value.to_be_bytes());
        self.tail(out);
    }

    /// Puts frame `number` with `samples` as they are into `out`.
    pub fn verbatim(&self, number: u32, samples: &[i16], out: &mut Vec<u8>) {
        self.head(number, samples.len(), out);
        out.push(0x02); // a verbatim subframe
        out.extend(samples.iter().flat_map(|s| s.to_be_bytes()));
        self.tail(out);
    }

    fn head(&self, number: u32, size: usize, out: &mut Vec<u8>) {
        out.clear();
        let size_code = match size {
            4096 => 0b1100,
            1..=256 => 0b0110,
            _ => 0b0111,
        };
        let rate_code = if self.rate == 48_000 { 0b1010 } else { 0b1001 };
        let channel_code = if self.channels == Channels::One {
            0b0000
        } else {
            0b1000
        };
        out.extend_from_slice(&[
            0xFF,
            0xF8,
            size_code << 4 | rate_code,
            channel_code << 4 | 0x08,
        ]);
        coded_number(number, out);
        let less_one = (size - 1).to_be_bytes();
        match size_code {
            0b0110 => out.push(less_one[7]),
            0b0111 => out.extend_from_slice(&less_one[6..]),
            _ => {}
        }
        out.push(crc8(out));
    }

    fn tail(&self, out: &mut Vec<u8>) {
        if self.channels == Channels::TwoAlike {
            // a constant side subframe: 8 bits of head, a 17-bit zero, 7 bits to the byte's end
            out.extend_from_slice(&[0; 4]);
        }
        out.extend_from_slice(&crc16(out).to_be_bytes());
    }
}

/// The frame number in UTF-8's pattern (RFC 9639, section 9.1.5), up to 31 bits.
fn coded_number(number: u32, out: &mut Vec<u8>) {
    if number < 0x80 {
        out.push(number.to_le_bytes()[0]);
        return;
    }
    let bits = 32 - number.leading_zeros();
    let more = (bits - 2) / 5; // bytes that follow the first one
    let low = |n: u32| n.to_le_bytes()[0];
    out.push(low(0xFF00 >> (more + 1)) | low(number >> (6 * more)));
    for i in (0..more).rev() {
        out.push(0x80 | low(number >> (6 * i)) & 0x3F);
    }
}

const CRC8: [u8; 256] = {
    let mut table = [0; 256];
    let mut i = 0;
    while i < 256 {
        let mut crc = i as u8;
        let mut bit = 0;
        while bit < 8 {
            crc = (crc << 1) ^ if crc & 0x80 == 0 { 0 } else { 0x07 };
            bit += 1;
        }
        table[i] = crc;
        i += 1;
    }
    table
};

const CRC16: [u16; 256] = {
    let mut table = [0; 256];
    let mut i = 0;
    while i < 256 {
        let mut crc = (i as u16) << 8;
        let mut bit = 0;
        while bit < 8 {
            crc = (crc << 1) ^ if crc & 0x8000 == 0 { 0 } else { 0x8005 };
            bit += 1;
        }
        table[i] = crc;
        i += 1;
    }
    table
};

fn crc8(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |crc, b| CRC8[usize::from(crc ^ b)])
}

fn crc16(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0, |crc, b| {
        crc << 8 ^ CRC16[usize::from((crc >> 8) as u8 ^ b)]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the check values of CRC-8/SMBUS and CRC-16/UMTS for "123456789". From memory.
    #[test]
    fn checksums_give_their_check_values() {
        assert_eq!(crc8(b"123456789"), 0xF4);
        assert_eq!(crc16(b"123456789"), 0xFEE8);
    }

    /// Up to 0x10FFFF the pattern is UTF-8 itself.
    #[test]
    fn frame_numbers_are_coded_like_characters() {
        for number in [0, 0x7F, 0x80, 0x7FF, 0x800, 0xFFFF, 0x1_0000, 0x10_FFFF] {
            let mut out = Vec::new();
            coded_number(number, &mut out);
            let char = char::from_u32(number).expect("not a surrogate");
            assert_eq!(out, char.to_string().as_bytes(), "{number:#x}");
        }
        let mut out = Vec::new();
        coded_number(0x7FFF_FFFF, &mut out);
        assert_eq!(out, [0xFD, 0xBF, 0xBF, 0xBF, 0xBF, 0xBF]);
    }
}
