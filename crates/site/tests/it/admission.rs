//! Who may: passphrases, codes, one wave a token, foreign pages kept out.

use axum::http::{Method, StatusCode};

use crate::support::{LEAD, MEDIC, Site, request};

#[tokio::test]
async fn beyond_this_machine_nothing_is_shown_without_a_passphrase() {
    let site = Site::guarded();
    for path in ["/", "/people", "/archive", "/library"] {
        let answer = site.get(path, None).await;
        assert_eq!(answer.to.as_deref(), Some("/enter"), "{path}");
    }
    let answer = site.get(&site.wave(0, ""), None).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    assert_eq!(answer.json()["error"]["where"], "cookie `plimsoll`");
    let wrong = site.post_form("/enter", None, "passphrase=guess").await;
    assert_eq!(wrong.status, StatusCode::UNAUTHORIZED);
    assert!(wrong.cookie.is_none());
    let lead = site.enter(LEAD).await;
    assert_eq!(
        site.get("/people", Some(&lead)).await.status,
        StatusCode::OK
    );
}

#[tokio::test]
async fn guesses_are_slowed_down() {
    let site = Site::guarded();
    let mut last = StatusCode::OK;
    for _ in 0..12 {
        last = site
            .post_form("/enter", None, "passphrase=guess")
            .await
            .status;
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
    site.clock.pass(60_000);
    let answer = site.post_form("/enter", None, "passphrase=guess").await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_device_opens_its_own_wave_and_nothing_else() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let view = site.get(&site.wave(0, ""), Some(&guest)).await.json();
    assert_eq!(view["me"]["role"], "assessor");
    assert_eq!(view["me"]["lanes"].as_array().map(Vec::len), Some(3));
    assert!(view.get("devices").is_none(), "only the lead sees devices");
    for rest in ["", "/wait", "/timeline", "/sound", "/sound/0.flac"] {
        let answer = site.get(&site.wave(1, rest), Some(&guest)).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{rest}");
    }
    let body = r#"{"events":[]}"#;
    let answer = site
        .post_json(&site.wave(1, "/events"), Some(&guest), body)
        .await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    for path in ["/people", "/archive", "/library"] {
        let answer = site.get(path, Some(&guest)).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
    }
    for page in ["plan", "results", "medic", "arrival"] {
        let answer = site
            .get(&format!("/{page}/{}", site.day), Some(&guest))
            .await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{page}");
    }
    let line = site
        .get(&format!("/line/{}", site.waves[0]), Some(&guest))
        .await;
    assert_eq!(line.status, StatusCode::OK);
}

#[tokio::test]
async fn a_dropped_device_is_out() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let guest = site.join(0, Some(&lead), "Rin").await;
    let page = site
        .get(&format!("/wave/{}", site.waves[0]), Some(&lead))
        .await;
    let mark = "name=\"device\" value=\"";
    let at = page.text.find(mark).expect("a device") + mark.len();
    let device = &page.text[at..at + 10];
    let body = format!("seal={}&device={device}", page.seal());
    let path = format!("/wave/{}/drop", site.waves[0]);
    assert_eq!(
        site.post_form(&path, Some(&lead), &body).await.status,
        StatusCode::SEE_OTHER
    );
    let answer = site.get(&site.wave(0, ""), Some(&guest)).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_code_ends_after_a_day_and_a_session_after_a_week() {
    let site = Site::guarded();
    let lead = site.enter(LEAD).await;
    let page = site
        .get(&format!("/wave/{}", site.waves[0]), Some(&lead))
        .await;
    let at = page.text.find("/join/").expect("a code") + 6;
    let code = page.text[at..at + 6].to_owned();
    assert_eq!(
        site.get(&format!("/join/{code}"), None).await.status,
        StatusCode::OK
    );
    site.clock.pass(25 * 3_600_000);
    let late = site.get(&format!("/join/{code}"), None).await;
    assert_eq!(late.status, StatusCode::NOT_FOUND);
    site.clock.pass(7 * 24 * 3_600_000);
    let answer = site.get("/people", Some(&lead)).await;
    assert_eq!(answer.to.as_deref(), Some("/enter"));
}

#[tokio::test]
async fn foreign_pages_and_foreign_names_are_kept_out() {
    let site = Site::new();
    let events = site.wave(0, "/events");
    let body = r#"{"events":[]}"#;
    let bare = site
        .ask(request(Method::POST, &events, None, &[], body))
        .await;
    assert_eq!(bare.status, StatusCode::FORBIDDEN);
    assert_eq!(bare.json()["error"]["where"], "header `x-plimsoll`");
    let own = ("x-plimsoll", "1");
    let foreign = [own, ("origin", "http://elsewhere.test")];
    let answer = site
        .ask(request(Method::POST, &events, None, &foreign, body))
        .await;
    assert_eq!(answer.json()["error"]["where"], "header `origin`");
    let same = [own, ("origin", "http://localhost:8097")];
    let answer = site
        .ask(request(Method::POST, &events, None, &same, body))
        .await;
    assert_eq!(answer.status, StatusCode::OK);
    let mut rebound = request(Method::GET, "/api/clock", None, &[], "");
    rebound
        .headers_mut()
        .insert("host", "elsewhere.test".parse().expect("a header"));
    let answer = site.ask(rebound).await;
    assert_eq!(answer.json()["error"]["where"], "header `host`");
    let unsealed = site.post_form("/people", None, "name=Ilo").await;
    assert_eq!(unsealed.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn the_medic_and_the_lead_have_pages_apart() {
    let site = Site::guarded();
    let (lead, medic) = (site.enter(LEAD).await, site.enter(MEDIC).await);
    let path = format!("/medic/{}", site.day);
    assert_eq!(
        site.get(&path, Some(&lead)).await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(site.get(&path, Some(&medic)).await.status, StatusCode::OK);
    let plan = format!("/plan/{}", site.day);
    assert_eq!(
        site.get(&plan, Some(&medic)).await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn a_token_that_is_not_valid_is_nobodys_even_where_none_is_needed() {
    let site = Site::new();
    let answer = site
        .get(&site.wave(0, ""), Some("plimsoll=left-over"))
        .await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    let door = site.get("/enter", Some("plimsoll=left-over")).await;
    assert_eq!(door.to.as_deref(), Some("/"));
    assert_eq!(door.cookie.as_deref(), Some("plimsoll="));
}

/// Source: OpenAPI 3.1 document of the server; its routes are asked one by one.
#[tokio::test]
async fn every_address_of_the_document_is_there_and_no_other() {
    let site = Site::new();
    let document = site.get("/api/openapi.json", None).await.json();
    let paths = document["paths"].as_object().expect("paths");
    assert_eq!(paths.len(), 9);
    for (path, methods) in paths {
        let at = path
            .replace("{wave}", &site.waves[0].to_string())
            .replace("{piece}", "0.flac");
        for method in methods.as_object().expect("methods").keys() {
            let answer = match method.as_str() {
                "get" => site.get(&at, None).await,
                _ => site.post_json(&at, None, r#"{"events":[]}"#).await,
            };
            assert_eq!(answer.status, StatusCode::OK, "{method} {path}");
        }
        let put = site.ask(request(Method::PUT, &at, None, &[], "")).await;
        assert_eq!(put.status, StatusCode::METHOD_NOT_ALLOWED, "{path}");
    }
}

#[tokio::test]
async fn a_server_that_keeps_what_it_records_rehearses_nothing() {
    let site = Site::new();
    let wave = site.waves[0];
    let script = site.get(&format!("/rehearsal/{wave}"), None).await;
    assert_eq!(script.status, StatusCode::FORBIDDEN);
    let seal = site.get(&format!("/close/{wave}"), None).await.seal();
    let form = format!("seal={seal}&speed=20");
    let start = site
        .post_form(&format!("/wave/{wave}/rehearse"), None, &form)
        .await;
    assert_eq!(start.status, StatusCode::FORBIDDEN, "{}", start.text);
    let view = site.get(&format!("/api/waves/{wave}"), None).await.json();
    assert_eq!(view["state"]["started"], false);
    assert_eq!(view["speed"], 1);
}
