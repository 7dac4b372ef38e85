//! The sound in pieces is the track: nothing missing, nothing twice, the first start where it says.

use axum::http::StatusCode;

use crate::support::Site;

#[tokio::test]
async fn the_pieces_follow_one_another_to_the_end() {
    let site = Site::new();
    let answer = site.get(&site.wave(0, "/sound"), None).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let sound = answer.json();
    let pieces = sound["pieces"].as_array().expect("pieces");
    let rate = sound["sample_rate"].as_f64().expect("a rate");
    let mut at = 0.0;
    for piece in pieces {
        let from = piece["at_s"].as_f64().expect("a time") * rate;
        assert!((from - at).abs() < 1e-6, "no gap and no overlap");
        at += piece["length_s"].as_f64().expect("a length") * rate;
    }
    let whole = sound["duration_s"].as_f64().expect("a length") * rate;
    assert!((at - whole).abs() < 1e-6);
    let first = site
        .get(pieces[0]["url"].as_str().expect("a path"), None)
        .await;
    assert_eq!(first.status, StatusCode::OK);
    assert!(first.text.starts_with("fLaC"));
    for name in [
        "x.flac",
        "00.flac",
        "9999.flac",
        "0.wav",
        "..%2fplimsoll.db",
    ] {
        let answer = site
            .get(&site.wave(0, &format!("/sound/{name}")), None)
            .await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}");
    }
}
