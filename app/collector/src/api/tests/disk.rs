//! A disk that is full or may not be written: a small file system of its own in
//! memory. Where mounting one is not allowed, that is said and nothing is
//! tested.

use std::path::{Path, PathBuf};
use std::process::Command;

use super::*;
use crate::files::Source;

/// A mounted file system, taken down at the end.
struct Disk {
    place: tempfile::TempDir,
}

impl Disk {
    fn of(kib: u32) -> Option<Self> {
        let place = tempfile::tempdir().unwrap();
        let size = format!("size={kib}k,nr_inodes=400");
        let disk = Self { place };
        disk.mount(&["-t", "tmpfs", "-o", &size, "tmpfs"])
            .then_some(disk)
    }

    fn mount(&self, how: &[&str]) -> bool {
        let mut mount = Command::new("mount");
        let done = mount.args(how).arg(self.place.path()).status();
        let done = done.is_ok_and(|status| status.success());
        if !done {
            eprintln!("SKIPPED: this system lets nobody mount a small disk");
        }
        done
    }

    fn kept(&self) -> PathBuf {
        self.place.path().join("kept")
    }

    async fn service(&self, app: &Path) -> Service {
        let store = Store::folder(&self.kept()).unwrap();
        let charter = [day().charter.clone()];
        let open = Collector::open(store, &charter, false, limits());
        let collector = open.await.unwrap();
        let gate = Gate::new(collector.clone(), &[], false).unwrap();
        let app = Source::Folder(app.to_path_buf());
        Service {
            place: Arc::default(),
            router: router(gate, Some(&app)).unwrap(),
            collector,
        }
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.place.path()).status();
    }
}

/// A built app, as far as it is needed here.
fn app() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let page = r#"<meta http-equiv="Content-Security-Policy" content="default-src 'self'">"#;
    std::fs::write(folder.path().join("index.html"), page).unwrap();
    folder
}

/// What holds on every disk that takes nothing.
async fn serves_and_says_so(s: &Service) {
    let ready = s.get("/api/ready").await;
    assert_eq!(ready.status, StatusCode::SERVICE_UNAVAILABLE);
    let (kept, new) = (record(0), record(1));
    let event = s.collector.events().ids().next().unwrap();
    let page = format!("/results/{event}/games/{}", kept.chain().game());
    assert_eq!(s.get(&page).await.status, StatusCode::OK);
    // What is there is acknowledged again, whole and in part.
    s.put_record(kept).await;
    let again = s.put(name(kept), part(kept, 2..5)).await;
    assert_eq!(again.status, StatusCode::OK);
    assert_eq!(again.receipt().next, kept.next_seq());
    // What is new is not, and the phone is told to come again.
    let refused = s.put(name(new), part(new, 0..3)).await;
    assert_eq!(refused.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(refused.headers.contains_key("retry-after"));
    assert!(s.collector.metrics.text().contains("storage_down 1"));
    let long = "a".repeat(256);
    for path in [
        "/%00".to_owned(),
        "/a%00b/%2e%2e/c".to_owned(),
        format!("/{long}"),
        format!("/{long}/{long}.js"),
        "/results/%00".to_owned(),
        format!("/results/{long}/games/{long}/sheet"),
        "/api/logs/%00/%00".to_owned(),
        format!("/api/logs/{long}/{long}/head"),
        format!("/api/charters/{long}/all"),
        format!("/api/events/%00/{long}"),
    ] {
        let status = s.get(&path).await.status;
        assert!(
            status.is_client_error() || status.is_success() || status.is_redirection(),
            "{path}: {status}"
        );
    }
}

#[tokio::test]
async fn a_full_disk_is_served_from_and_said() {
    let Some(disk) = Disk::of(2048) else { return };
    let app = app();
    let before = disk.service(app.path()).await;
    before.put_record(record(0)).await;
    assert_eq!(before.get("/api/ready").await.status, StatusCode::OK);
    let filler = disk.place.path().join("filler");
    let mut fill = std::fs::File::create(&filler).unwrap();
    while std::io::Write::write_all(&mut fill, &[0; 4096]).is_ok() {}
    // Before anybody delivers anything, and at work or started anew.
    for s in [before, disk.service(app.path()).await] {
        serves_and_says_so(&s).await;
    }
    drop(fill);
    std::fs::remove_file(&filler).unwrap();
    let s = disk.service(app.path()).await;
    s.put_record(record(1)).await;
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_disk_that_may_not_be_written_is_served_from_and_said() {
    let Some(disk) = Disk::of(2048) else { return };
    let app = app();
    let before = disk.service(app.path()).await;
    before.put_record(record(0)).await;
    assert!(disk.mount(&["-o", "remount,ro"]));
    for s in [before, disk.service(app.path()).await] {
        serves_and_says_so(&s).await;
    }
    assert!(disk.mount(&["-o", "remount,rw"]));
    let s = disk.service(app.path()).await;
    s.put_record(record(1)).await;
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
}
