//! The whole server on a socket: encrypted by the archive's own authority, and the live channel over it.

use std::net::{IpAddr, SocketAddr};
use std::path::Path;
use std::sync::Arc;

use futures_util::{SinkExt, StreamExt};
use plimsoll_archive::WaveId;
use plimsoll_judge::What;
use plimsoll_ladder::Catalogue;
use plimsoll_site::{Listening, TlsChoice, serve};
use serde_json::{Value, json};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{WebSocketStream, client_async};

use crate::support::{Filled, Hand, event_of, filled};

struct Running {
    address: SocketAddr,
    wave: WaveId,
    folder: tempfile::TempDir,
    stop: Option<oneshot::Sender<()>>,
    ended: tokio::task::JoinHandle<()>,
}

impl Running {
    async fn start(tls: TlsChoice) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let clock = Arc::new(Hand::new(1));
        let Filled { writer, waves, .. } = filled(&folder.path().join("archive"), &clock);
        let (told, address) = oneshot::channel();
        let (stop, stopped) = oneshot::channel::<()>();
        let listening = Listening {
            address: SocketAddr::new(IpAddr::from([127, 0, 0, 1]), 0),
            tls,
            passphrase: None,
            medic_passphrase: None,
            rehearse: false,
        };
        let facts = plimsoll_interpret::Catalogue::built_in().expect("shipped");
        let ended = tokio::spawn(async move {
            let tell =
                |urls: &[String], _: Option<&str>| told.send(urls[0].clone()).expect("heard");
            let end = async {
                let _ = stopped.await;
            };
            serve(
                writer,
                Catalogue::built_in(),
                facts,
                clock,
                listening,
                tell,
                end,
            )
            .await
            .expect("serves");
        });
        let url = address.await.expect("listens");
        let address = url
            .rsplit_once("//")
            .expect("a scheme")
            .1
            .parse()
            .expect("an address");
        Self {
            address,
            wave: waves[0],
            folder,
            stop: Some(stop),
            ended,
        }
    }

    fn authority(&self) -> std::path::PathBuf {
        self.folder.path().join("archive/tls/authority.pem")
    }

    async fn encrypted(&self, roots: RootCertStore) -> std::io::Result<TlsStream<TcpStream>> {
        let config = ClientConfig::builder()
            .with_root_certificates(roots)
            .with_no_client_auth();
        let socket = TcpStream::connect(self.address).await?;
        let name = ServerName::IpAddress(self.address.ip().into());
        TlsConnector::from(Arc::new(config))
            .connect(name, socket)
            .await
    }

    async fn end(mut self) {
        self.stop
            .take()
            .expect("once")
            .send(())
            .expect("still serving");
        self.ended.await.expect("ends by itself");
    }
}

fn trusting(authority: &Path) -> RootCertStore {
    let mut roots = RootCertStore::empty();
    let certificate = CertificateDer::from_pem_file(authority).expect("a certificate");
    roots.add(certificate).expect("an authority");
    roots
}

async fn next<S>(socket: &mut WebSocketStream<S>, kind: &str) -> Value
where
    S: tokio::io::AsyncRead + tokio::io::AsyncWrite + Unpin,
{
    loop {
        let message = socket.next().await.expect("open").expect("whole");
        if let Message::Text(text) = message {
            let value: Value = serde_json::from_str(&text).expect("JSON");
            if value["type"] == kind {
                return value;
            }
        }
    }
}

async fn tell<S>(socket: &mut WebSocketStream<S>, value: Value)
where
    S: tokio::io::AsyncRead + tokio::io::AsyncWrite + Unpin,
{
    socket
        .send(Message::Text(value.to_string().into()))
        .await
        .expect("sent");
}

#[tokio::test]
async fn who_trusts_the_authority_of_the_archive_is_served_and_nobody_else() {
    let server = Running::start(TlsChoice::Own).await;
    let refused = server.encrypted(RootCertStore::empty()).await;
    assert!(refused.is_err(), "an unknown authority is refused");
    let stream = server
        .encrypted(trusting(&server.authority()))
        .await
        .expect("trusted");
    let url = format!("wss://{}/api/waves/{}/live", server.address, server.wave);
    let (mut socket, _) = client_async(url, stream).await.expect("upgraded");
    let view = next(&mut socket, "view").await;
    assert_eq!(view["view"]["wave"], server.wave.to_string());
    drop(socket);
    server.end().await;
}

#[tokio::test]
async fn after_the_first_view_a_socket_is_told_what_has_changed() {
    let server = Running::start(TlsChoice::Plain).await;
    let url = format!("ws://{}/api/waves/{}/live", server.address, server.wave);
    let open = async || {
        let stream = TcpStream::connect(server.address).await.expect("connects");
        client_async(&url, stream).await.expect("upgraded").0
    };
    let (mut one, mut other) = (open().await, open().await);
    let before = next(&mut one, "view").await["view"].clone();
    next(&mut other, "view").await;

    let event = event_of("phone", 1, 2, Some(5_000), What::EarlyStart { lane: 3 });
    let line: Value = serde_json::from_str(&event.to_line()).expect("JSON");
    tell(&mut one, json!({"type": "events", "events": [line]})).await;
    let ack = next(&mut one, "ack").await;
    assert_eq!(ack["acknowledged"], json!([event.id]));
    let change = next(&mut other, "change").await;
    assert_eq!(change["since"], before["version"]);
    assert_eq!(change["version"], ack["version"]);
    assert_eq!(change["speed"], before["speed"]);
    let lanes = change["lanes"].as_array().expect("lanes");
    assert_eq!(lanes.len(), 1, "only the lane that changed");
    assert_eq!(lanes[0]["plan"]["lane"], 3);
    assert_eq!(lanes[0]["early_starts"], 1);
    assert_eq!(change["results"].as_array().map(Vec::len), Some(1));
    assert!(change["state"].get("opening").is_none());

    // Put into the view before, it is the view that a phone gets that comes now.
    let mut state = before["state"].clone();
    for (key, value) in change["state"].as_object().expect("fields") {
        state[key] = value.clone();
    }
    state["lanes"][2] = lanes[0].clone();
    let now = next(&mut open().await, "view").await["view"].clone();
    assert_eq!(state, now["state"]);
    assert_eq!(change["read_back"], now["read_back"]);
    server.end().await;
}

#[tokio::test]
async fn what_a_socket_cannot_read_is_answered_in_words_and_records_nothing() {
    let server = Running::start(TlsChoice::Plain).await;
    let url = format!("ws://{}/api/waves/{}/live", server.address, server.wave);
    let stream = TcpStream::connect(server.address).await.expect("connects");
    let (mut socket, _) = client_async(&url, stream).await.expect("upgraded");
    let version = next(&mut socket, "view").await["view"]["version"].clone();
    for said in [
        "{",
        "[]",
        r#"{"type":"shout"}"#,
        r#"{"type":"events","events":3}"#,
    ] {
        socket.send(Message::Text(said.into())).await.expect("sent");
        let fault = next(&mut socket, "fault").await;
        assert!(!fault["why"].as_str().expect("words").is_empty(), "{said}");
    }
    socket
        .send(Message::Binary(vec![0, 1, 2].into()))
        .await
        .expect("sent");
    next(&mut socket, "fault").await;
    tell(&mut socket, json!({"type": "events", "events": [{"v": 9}]})).await;
    let answer = next(&mut socket, "ack").await;
    assert_eq!(answer["acknowledged"], json!([]));
    assert_eq!(answer["refused"].as_array().map(Vec::len), Some(1));
    assert_eq!(answer["version"], version);

    // Too large for the channel: the server ends it, and lives.
    let large = format!("{{\"type\":\"ping\",\"t0\":\"{}\"}}", "x".repeat(2 << 20));
    let _ = socket.send(Message::Text(large.into())).await;
    let ended = loop {
        match socket.next().await {
            Some(Ok(Message::Text(text))) => assert!(!text.contains("pong"), "taken"),
            other => break other,
        }
    };
    assert!(
        matches!(ended, None | Some(Err(_) | Ok(Message::Close(_)))),
        "{ended:?}"
    );
    let stream = TcpStream::connect(server.address)
        .await
        .expect("still there");
    let (mut again, _) = client_async(&url, stream).await.expect("upgraded");
    assert_eq!(next(&mut again, "view").await["view"]["version"], version);
    server.end().await;
}
