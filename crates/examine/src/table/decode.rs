//! A reader that turns bytes of any sniffed encoding into UTF-8, a block at a time.
//! Bytes that mean nothing in the encoding become a replacement mark and are counted.

use std::io::{self, BufRead, Read};

use encoding_rs::{CoderResult, Decoder, Encoding};

const BLOCK: usize = 16 << 10;

/// A reader of UTF-8 over a reader of encoded bytes.
pub(crate) struct Decoding<R> {
    inner: R,
    decoder: Decoder,
    raw: Vec<u8>,
    raw_at: usize,
    raw_end: usize,
    out: Vec<u8>,
    out_at: usize,
    ended: bool,
    /// Blocks in which something could not be decoded.
    pub broken_blocks: u64,
}

impl<R: Read> Decoding<R> {
    /// Starts decoding; a byte-order mark is taken off.
    pub fn new(inner: R, encoding: &'static Encoding) -> Self {
        Self {
            inner,
            decoder: encoding.new_decoder_with_bom_removal(),
            raw: vec![0; BLOCK],
            raw_at: 0,
            raw_end: 0,
            out: Vec::with_capacity(BLOCK * 3),
            out_at: 0,
            ended: false,
            broken_blocks: 0,
        }
    }

    fn refill(&mut self) -> io::Result<()> {
        self.out.clear();
        self.out_at = 0;
        while self.out.is_empty() && !self.ended {
            let mut last = false;
            if self.raw_at == self.raw_end {
                let n = loop {
                    match self.inner.read(&mut self.raw) {
                        Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                        other => break other?,
                    }
                };
                (self.raw_at, self.raw_end) = (0, n);
                last = n == 0;
            }
            self.out.resize(BLOCK * 3, 0);
            let source = self.raw.get(self.raw_at..self.raw_end).unwrap_or_default();
            let (result, read, written, broken) =
                self.decoder.decode_to_utf8(source, &mut self.out, last);
            self.raw_at += read;
            self.out.truncate(written);
            self.broken_blocks += u64::from(broken);
            self.ended = last && result == CoderResult::InputEmpty;
        }
        Ok(())
    }
}

impl<R: Read> Read for Decoding<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let available = self.fill_buf()?;
        let n = available.len().min(buffer.len());
        if let (Some(to), Some(from)) = (buffer.get_mut(..n), available.get(..n)) {
            to.copy_from_slice(from);
        }
        self.consume(n);
        Ok(n)
    }
}

impl<R: Read> BufRead for Decoding<R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.out_at >= self.out.len() {
            self.refill()?;
        }
        Ok(self.out.get(self.out_at..).unwrap_or_default())
    }

    fn consume(&mut self, n: usize) {
        self.out_at = (self.out_at + n).min(self.out.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decode(bytes: &[u8], encoding: &'static Encoding) -> (String, u64) {
        let mut reader = Decoding::new(bytes, encoding);
        let mut text = String::new();
        reader
            .read_to_string(&mut text)
            .expect("decoded text is UTF-8");
        (text, reader.broken_blocks)
    }

    #[test]
    fn text_longer_than_a_block_comes_through_whole() {
        let text = "ä,ö\n".repeat(20_000);
        let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(decode(&wide, encoding_rs::UTF_16BE), (text, 0));
    }

    #[test]
    fn what_cannot_be_decoded_is_counted() {
        assert_eq!(
            decode(b"a\xFFb", encoding_rs::UTF_8),
            ("a\u{fffd}b".to_owned(), 1)
        );
    }
}
