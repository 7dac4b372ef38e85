//! Looks into a workbook before it is read: part count, unpacked size, which kind it is.
//! Unpacks every part into nothing and counts, so that a header that lies about sizes does not help.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use crate::error::ExamineError;
use crate::limits::{MAX_PARTS, MAX_UNPACKED_BYTES};

/// Which workbook a package is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Workbook {
    /// Office Open XML.
    Xlsx,
    /// OpenDocument.
    Ods,
}

/// Returns which workbook the bytes are, after checking that unpacking them stays bounded.
pub(crate) fn check(file: &str, bytes: &[u8]) -> Result<Workbook, ExamineError> {
    let broken = |why: String| ExamineError::BrokenWorkbook {
        file: file.to_owned(),
        why,
    };
    let mut archive =
        ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(error.to_string()))?;
    if archive.len() > MAX_PARTS {
        return Err(ExamineError::TooLarge {
            file: file.to_owned(),
            found: archive.len() as u64,
            allowed: MAX_PARTS as u64,
            unit: "parts",
            advice: "save the one sheet you need as CSV",
        });
    }
    let mut left = MAX_UNPACKED_BYTES;
    let mut names: Vec<String> = Vec::new();
    let mut buffer = vec![0_u8; 64 << 10];
    for i in 0..archive.len() {
        let mut part = archive
            .by_index(i)
            .map_err(|error| broken(error.to_string()))?;
        if let Ok(name) = part.name() {
            names.push(name.to_ascii_lowercase());
        }
        loop {
            let n = part
                .read(&mut buffer)
                .map_err(|error| broken(error.to_string()))? as u64;
            if n == 0 {
                break;
            }
            left = left.checked_sub(n).ok_or_else(|| ExamineError::TooLarge {
                file: file.to_owned(),
                found: MAX_UNPACKED_BYTES + 1,
                allowed: MAX_UNPACKED_BYTES,
                unit: "bytes once unpacked",
                advice: "save the one sheet you need as CSV",
            })?;
        }
    }
    let has = |name: &str| names.iter().any(|n| n == name);
    if has("xl/workbook.xml") {
        Ok(Workbook::Xlsx)
    } else if has("content.xml") {
        Ok(Workbook::Ods)
    } else {
        Err(ExamineError::NotASheet {
            file: file.to_owned(),
            found: "a package without a sheet in it".to_owned(),
        })
    }
}
