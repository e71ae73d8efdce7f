//! Logs: in by parts, out byte for byte, wrong ones up to the fault.

use super::*;

#[tokio::test]
async fn a_log_has_a_type_of_its_own_and_the_plain_one_for_whoever_asks() {
    use engine::log::LogFile;
    let s = service().await;
    let r = record(0);
    let request = Request::put(name(r).path()).header("content-type", LogFile::MEDIA_TYPE);
    let got = s.ask(request.body(part(r, 0..3).into()).unwrap()).await;
    assert_eq!(got.status, StatusCode::OK);
    for (accept, given) in [
        (None, LogFile::MEDIA_TYPE),
        (Some("*/*"), LogFile::MEDIA_TYPE),
        (Some("application/cbor-seq;q=0.9"), "application/cbor-seq"),
    ] {
        let mut request = Request::get(name(r).path());
        if let Some(accept) = accept {
            request = request.header("accept", accept);
        }
        let got = s.ask(request.body(Body::empty()).unwrap()).await;
        assert_eq!(got.headers["content-type"], given, "{accept:?}");
        assert_eq!(got.body, part(r, 0..3));
    }
}

#[tokio::test]
async fn a_log_goes_in_by_parts_and_comes_out_byte_for_byte() {
    let s = service().await;
    let r = record(0);
    let (n, all) = (name(r), r.chain().entries().len());
    let head = s.get(&format!("{}/head", n.path())).await;
    assert_eq!((head.status, head.receipt().next), (StatusCode::OK, 0));
    for (from, to) in [(0, 10), (5, 20), (0, 20), (20, all), (0, all)] {
        let got = s.put(n, part(r, from..to)).await;
        assert_eq!(got.status, StatusCode::OK);
        assert_eq!(got.headers["content-type"], "application/cbor");
    }
    let receipt = s.get(&format!("{}/head", n.path())).await.receipt();
    assert_eq!((receipt.next, receipt.head), (all as u64, Some(r.head())));
    let whole = s.get(&n.path()).await;
    assert_eq!(whole.body, r.chain().to_bytes());
    let rest = s.get(&format!("{}?from=10", n.path())).await;
    assert_eq!(rest.body, part(r, 10..all));
    let heads = Heads::read(&s.get(&format!("/api/games/{}", n.game)).await.body).unwrap();
    assert_eq!(heads.logs.len(), 1);
    assert_eq!(heads.logs[0].next, all as u64);
}

#[tokio::test]
async fn what_is_wrong_stops_there_and_what_came_before_is_kept() {
    let s = service().await;
    let r = record(0);
    let n = name(r);
    let mut damaged = part(r, 0..10);
    let last = damaged.len() - 1;
    damaged[last] ^= 1;
    let got = s.put(n, damaged).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    let receipt = got.receipt();
    assert_eq!((receipt.next, receipt.refusal.unwrap().at), (9, 9));
    let got = s.put(n, part(r, 12..14)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::CONFLICT, "gap")
    );
    let mut half = part(r, 9..12);
    half.truncate(half.len() - 7);
    let got = s.put(n, half).await;
    assert_eq!(got.refusal(), "cut-short");
    assert_eq!(got.receipt().next, 11);
    // Nothing of a log is there without its opening.
    let other = record(1);
    let got = s.put(name(other), part(other, 3..5)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::CONFLICT, "gap")
    );
    assert_eq!(
        s.get(&name(other).path()).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn the_tampered_file_is_taken_up_to_the_change_only() {
    let s = service().await;
    let whole = day()
        .games
        .iter()
        .find(|g| g.fixture == day().tampered_fixture)
        .unwrap();
    let r = &whole.records[0];
    let got = s.put(name(r), day().tampered.clone()).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    let receipt = got.receipt();
    assert!(receipt.next < r.next_seq() && receipt.next > 0);
    assert_eq!(
        receipt.head,
        r.chain().at(receipt.next - 1).map(engine::log::Entry::hash)
    );
}

#[tokio::test]
async fn forks_are_kept_shown_and_the_same_everywhere() {
    let s = service().await;
    let game = day()
        .games
        .iter()
        .find(|g| g.second_line.is_some())
        .unwrap();
    let (first, second) = (&game.records[1], game.second_line.as_ref().unwrap());
    let n = name(first);
    s.put_record(first).await;
    s.put_record(second).await;
    let receipt = s.get(&format!("{}/head", n.path())).await.receipt();
    let forked_at = second.next_seq() - 1;
    assert_eq!(
        (receipt.forked_at, receipt.head),
        (Some(forked_at), Some(first.head()))
    );
    let other = service().await;
    other.put_record(second).await;
    other.put_record(first).await;
    assert_eq!(s.get(&n.path()).await.body, other.get(&n.path()).await.body);
    let all = s.get(&n.path()).await.body;
    assert_eq!(split(&all).count() as u64, first.next_seq() + 1);
    let mut log = AuthorLog::new(n);
    let mut staged = StagedEntries::default();
    for item in split(&all) {
        log.stage(&mut staged, item.unwrap()).unwrap();
    }
    log.add(staged);
    assert_eq!(log.forked_at(), Some(forked_at));
}
