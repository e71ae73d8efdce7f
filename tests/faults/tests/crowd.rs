//! Many at once, and slow: readers who never read, connections that say nothing,
//! bodies that come by drops. Memory stays, the rest is told to come later, and
//! a phone still gets through.
#![allow(clippy::unwrap_used)]

use std::net::Ipv4Addr;
use std::time::{Duration, Instant};

use faults::service::{Plan, Service, free_port};
use faults::wire;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

struct Ground {
    _place: TempDir,
    plan: Plan,
    service: Service,
    day: demoday::DemoDay,
}

async fn ground(more: &[&str]) -> Ground {
    let place = tempfile::tempdir().unwrap();
    let day = demoday::play_day(1).unwrap();
    let program = env!("CARGO_BIN_EXE_faults");
    let port = free_port().await.unwrap();
    let mut plan = Plan::on_folder(program, place.path(), day.charter.bytes(), port).unwrap();
    plan.more = more.iter().map(|&w| w.to_owned()).collect();
    let service = plan.start().await.unwrap();
    Ground {
        _place: place,
        plan,
        service,
        day,
    }
}

impl Ground {
    async fn connect(&self) -> TcpStream {
        TcpStream::connect((Ipv4Addr::LOCALHOST, self.plan.port))
            .await
            .unwrap()
    }
    /// Every record of the day, entry by entry: some thousand changes.
    async fn a_day_comes_in(&self) -> usize {
        let mut entries = 0;
        for record in self.day.games.iter().flat_map(|g| &g.records) {
            let name = record.chain().name();
            for part in record.chain().entries().chunks(4) {
                let body: Vec<u8> = part.iter().flat_map(|e| e.bytes()).copied().collect();
                let put = wire::request("PUT", &name.path(), "application/cbor-seq", &body);
                let answer = wire::exchange(self.plan.port, &put).await.unwrap();
                assert_eq!(wire::answer(&answer).unwrap().status, 200);
                entries += part.len();
            }
        }
        entries
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn listeners_who_never_read_cost_nothing_and_one_too_many_is_told_so() {
    let g = ground(&["--live-limit", "200"]).await;
    let path = format!("/api/events/{}/live", g.day.charter.hash());
    let ask = wire::request("GET", &path, "", b"");
    let mut deaf = Vec::new();
    for _ in 0..200 {
        let mut stream = g.connect().await;
        stream.write_all(&ask).await.unwrap();
        // The head of the answer: the seat is taken; nothing is read after it.
        let mut head = [0; 12];
        stream.read_exact(&mut head).await.unwrap();
        assert_eq!(&head, b"HTTP/1.1 200");
        deaf.push(stream);
    }
    let late = wire::answer(&wire::exchange(g.plan.port, &ask).await.unwrap()).unwrap();
    assert_eq!((late.status, late.retry_after), (429, Some(60)));
    let before = g.service.memory();
    let entries = g.a_day_comes_in().await;
    assert!(entries > 1_000, "{entries}");
    if let (Some(before), Some(after)) = (before, g.service.memory()) {
        println!("200 deaf listeners, {entries} entries: {before} kB, then {after} kB");
        // The day itself takes some; a queue for each listener would take hundreds.
        assert!(after < before + 48 * 1024, "{before} kB, then {after} kB");
    }
    // Whoever leaves makes room.
    drop(deaf);
    let begun = Instant::now();
    loop {
        let mut stream = g.connect().await;
        stream.write_all(&ask).await.unwrap();
        let mut head = [0; 12];
        stream.read_exact(&mut head).await.unwrap();
        if &head == b"HTTP/1.1 200" {
            break;
        }
        assert!(begun.elapsed() < Duration::from_secs(40), "no seat is free");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    g.service.kill().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_thousand_who_say_nothing_do_not_shut_a_phone_out_for_long() {
    let g = ground(&["--connections-limit", "600"]).await;
    let before = g.service.memory();
    // A test process may have 1024 files: what is refused is read and closed at once.
    let mut silent = Vec::new();
    for _ in 0..600 {
        silent.push(g.connect().await);
    }
    // A slow machine has let the first of them go meanwhile, and a late one gets the
    // place: it hears nothing for as long as they did, so nobody waits for that.
    let (mut refused, begun) = (0, Instant::now());
    while refused < 100 && begun.elapsed() < Duration::from_secs(10) {
        let mut stream = g.connect().await;
        let mut answer = Vec::new();
        let read = stream.read_to_end(&mut answer);
        let heard = tokio::time::timeout(Duration::from_secs(1), read).await;
        if heard.is_err() || answer.is_empty() {
            silent.push(stream);
            continue;
        }
        let answer = String::from_utf8(answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 503 "), "{answer:?}");
        assert!(answer.contains("retry-after: 5"), "{answer}");
        assert!(answer.contains("Too many connections"), "{answer}");
        refused += 1;
    }
    assert!(refused > 5, "{refused}");
    if let (Some(before), Some(after)) = (before, g.service.memory()) {
        println!("600 silent, {refused} refused: {before} kB, then {after} kB");
        assert!(after < before + 32 * 1024, "{before} kB, then {after} kB");
    }
    // The silent ones are let go after 15 s, and a phone gets in.
    let mut tries = 0;
    while wire::get(g.plan.port, "/api/health")
        .await
        .map_or(0, |a| a.status)
        != 200
    {
        tries += 1;
        assert!(tries < 80, "nobody is let in");
        tokio::time::sleep(Duration::from_millis(500)).await;
    }
    drop(silent);
    g.service.kill().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn bodies_and_heads_that_come_by_drops_are_ended() {
    let g = ground(&["--patience", "2"]).await;
    let record = &g.day.games[0].records[0];
    let name = record.chain().name();
    let whole = wire::request(
        "PUT",
        &name.path(),
        "application/cbor-seq",
        &record.chain().to_bytes(),
    );
    let before = g.service.memory();
    let mut slow = Vec::new();
    for _ in 0..300 {
        let mut stream = g.connect().await;
        let head = wire::head_end(&whole).unwrap();
        stream.write_all(&whole[..head + 40]).await.unwrap();
        slow.push(stream);
    }
    // A phone beside them is served meanwhile.
    let taken = wire::answer(&wire::exchange(g.plan.port, &whole).await.unwrap()).unwrap();
    assert_eq!(taken.status, 200);
    for (n, stream) in slow.iter_mut().enumerate() {
        // Now and then a drop more, which does not lengthen the patience.
        let _ = stream.write_all(b"a").await;
        let mut answer = vec![0; 64];
        let read = tokio::time::timeout(Duration::from_secs(12), stream.read(&mut answer)).await;
        let read = read.unwrap().unwrap();
        let text = String::from_utf8_lossy(&answer[..read]);
        assert!(text.starts_with("HTTP/1.1 408 "), "{n}: {text:?}");
    }
    if let (Some(before), Some(after)) = (before, g.service.memory()) {
        println!("300 bodies by drops: {before} kB, then {after} kB");
        assert!(after < before + 32 * 1024, "{before} kB, then {after} kB");
    }
    // A head that never ends is cut off.
    let mut stream = g.connect().await;
    let (begun, mut ended) = (Instant::now(), false);
    stream
        .write_all(b"GET /api/health HTTP/1.1\r\n")
        .await
        .unwrap();
    while begun.elapsed() < Duration::from_secs(30) && !ended {
        ended = stream.write_all(b"x: y\r\n").await.is_err();
        let mut some = [0; 256];
        let read = tokio::time::timeout(Duration::from_millis(500), stream.read(&mut some)).await;
        ended |= matches!(read, Ok(Ok(0) | Err(_)));
    }
    assert!(ended, "a head may take for ever");
    assert_eq!(
        wire::get(g.plan.port, "/api/health").await.unwrap().status,
        200
    );
    g.service.kill().await.unwrap();
}

/// A connection that never takes more than its smallest buffer holds.
async fn deaf(port: u16) -> TcpStream {
    let socket = tokio::net::TcpSocket::new_v4().unwrap();
    socket.set_recv_buffer_size(4096).unwrap();
    let to = (Ipv4Addr::LOCALHOST, port).into();
    socket.connect(to).await.unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn those_who_ask_much_and_read_nothing_are_let_go() {
    let g = ground(&["--connections-limit", "100"]).await;
    g.a_day_comes_in().await;
    let path = format!("/api/events/{}/games.json", g.day.charter.hash());
    let size = wire::get(g.plan.port, &path).await.unwrap().body.len();
    let ask = format!("GET {path} HTTP/1.1\r\nhost: localhost\r\n\r\n");
    // More than the system takes off a sender's hands.
    let asks = ask.repeat(16 * 1024 * 1024 / size);
    let before = g.service.memory();
    let mut all = Vec::new();
    for _ in 0..100 {
        let mut stream = deaf(g.plan.port).await;
        let sent = tokio::time::timeout(Duration::from_millis(200), async {
            let _ = stream.write_all(asks.as_bytes()).await;
        });
        let _ = sent.await;
        all.push(stream);
    }
    let begun = Instant::now();
    while wire::get(g.plan.port, "/api/health")
        .await
        .map_or(0, |a| a.status)
        != 200
    {
        assert!(
            begun.elapsed() < Duration::from_secs(45),
            "no place is free"
        );
        tokio::time::sleep(Duration::from_millis(500)).await;
    }
    println!("a phone is let in after {:?}", begun.elapsed());
    if let (Some(before), Some(after)) = (before, g.service.memory()) {
        println!("100 deaf connections: {before} kB, then {after} kB");
        assert!(after < before + 64 * 1024, "{before} kB, then {after} kB");
    }
    drop(all);
    g.service.kill().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn one_address_gets_no_more_than_its_share() {
    let g = ground(&[
        "--connections-address-limit",
        "40",
        "--live-address-limit",
        "20",
        "--bodies-address-limit",
        "1",
    ])
    .await;
    let path = format!("/api/events/{}/live", g.day.charter.hash());
    let ask = wire::request("GET", &path, "", b"");
    let (mut seats, mut statuses) = (Vec::new(), Vec::new());
    for _ in 0..25 {
        let mut stream = g.connect().await;
        stream.write_all(&ask).await.unwrap();
        let mut head = [0; 12];
        stream.read_exact(&mut head).await.unwrap();
        statuses.push(String::from_utf8_lossy(&head[9..]).into_owned());
        seats.push(stream);
    }
    assert_eq!(statuses.iter().filter(|s| *s == "200").count(), 20);
    assert_eq!(statuses.iter().filter(|s| *s == "429").count(), 5);
    // Half a request each of more than the megabyte that there is for all.
    let record = &g.day.games[0].records[0];
    let name = record.chain().name();
    let whole = wire::request(
        "PUT",
        &name.path(),
        "application/cbor-seq",
        &vec![0; 1_000_000],
    );
    let mut halves = Vec::new();
    for _ in 0..3 {
        let mut stream = g.connect().await;
        stream.write_all(&whole[..600_000]).await.unwrap();
        halves.push(stream);
    }
    let mut refused = 0;
    for stream in &mut halves {
        let mut head = [0; 12];
        let read = stream.read_exact(&mut head);
        if let Ok(Ok(_)) = tokio::time::timeout(Duration::from_secs(3), read).await {
            assert_eq!(&head, b"HTTP/1.1 429");
            refused += 1;
        }
    }
    assert_eq!(refused, 2, "one fits");
    let mut more = Vec::new();
    let mut last = Vec::new();
    for _ in 0..20 {
        let mut stream = g.connect().await;
        let read = stream.read_to_end(&mut last);
        if let Ok(Ok(_)) = tokio::time::timeout(Duration::from_millis(300), read).await {
            break;
        }
        more.push(stream);
    }
    let last = String::from_utf8_lossy(&last);
    assert!(last.starts_with("HTTP/1.1 503 "), "{last}");
    g.service.kill().await.unwrap();
}
