//! A PostgreSQL server for tests, where its programs are installed: its own folder, a socket in it and no port.

use std::io::Write;
use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use postgres::{Client, NoTls};

/// A server that ends with the process that started it.
#[derive(Debug)]
pub struct Server {
    folder: PathBuf,
    programs: PathBuf,
    user: Option<u32>,
    // Its standard input closes when this process ends, however that happens; then it stops the server.
    _guard: Child,
}

/// The server of this process, started when it is first asked for; nothing where PostgreSQL is not installed.
pub fn server() -> Option<&'static Server> {
    static SERVER: OnceLock<Option<Server>> = OnceLock::new();
    SERVER
        .get_or_init(|| {
            let programs = programs();
            if programs.is_none() {
                // Past the harness, which would keep it back.
                let _ = writeln!(
                    std::io::stderr(),
                    "PostgreSQL's programs `initdb` and `pg_ctl` are not installed here: only SQLite is tested"
                );
            }
            programs.map(Server::start)
        })
        .as_ref()
}

/// The folder with PostgreSQL's programs: that of the search path, or where Debian puts them.
fn programs() -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    if let Ok(versions) = std::fs::read_dir("/usr/lib/postgresql") {
        folders.extend(versions.flatten().map(|version| version.path().join("bin")));
    }
    folders
        .into_iter()
        .find(|folder| folder.join("initdb").exists() && folder.join("pg_ctl").exists())
}

fn number(arguments: &[&str]) -> u32 {
    let told = Command::new("id").args(arguments).output().expect("id");
    let text = String::from_utf8(told.stdout).expect("digits");
    text.trim().parse().expect("a number")
}

impl Server {
    fn start(programs: PathBuf) -> Self {
        // A socket's path has to be short: hence not below the build's folder.
        let folder = std::env::temp_dir().join(format!("coldtrail-pg-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir(&folder).expect("a scratch folder");
        std::fs::set_permissions(&folder, PermissionsExt::from_mode(0o755)).expect("its mode");
        // The server refuses to run as root.
        let user = (number(&["-u"]) == 0).then(|| number(&["-u", "nobody"]));
        if let Some(user) = user {
            chown(&folder, Some(user), None).expect("a scratch folder of another user");
        }
        let data = folder.join("data");
        let as_user = |command: &mut Command| {
            if let Some(user) = user {
                command.uid(user);
            }
            command.current_dir(&folder);
        };
        let mut make = Command::new(programs.join("initdb"));
        make.args([
            "-U",
            "coldtrail",
            "--auth=trust",
            "-E",
            "UTF8",
            "--locale=C",
            "--no-sync",
        ]);
        make.arg("-D").arg(&data);
        as_user(&mut make);
        let made = make.output().expect("initdb");
        assert!(
            made.status.success(),
            "{}",
            String::from_utf8_lossy(&made.stderr)
        );
        let mut guard = Command::new("sh");
        guard.arg("-c").arg(
            "cat >/dev/null; \"$1/pg_ctl\" -D \"$2/data\" -m immediate -w stop >/dev/null 2>&1; rm -rf \"$2\"",
        );
        guard.arg("guard").arg(&programs).arg(&folder);
        guard
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        // A group of its own: what interrupts the tests must not stop it before the server.
        guard.process_group(0);
        as_user(&mut guard);
        let server = Self {
            _guard: guard.spawn().expect("a guard"),
            folder,
            programs,
            user,
        };
        server.run("start");
        server
    }

    /// Runs `pg_ctl` with `start` or `stop`, and waits until that is done.
    ///
    /// # Panics
    /// It did not work.
    pub fn run(&self, what: &str) {
        let mut control = Command::new(self.programs.join("pg_ctl"));
        control.arg("-D").arg(self.folder.join("data"));
        control.arg("-l").arg(self.folder.join("log"));
        control.args(["-w", "-m", "immediate"]);
        if what == "start" {
            let options = format!(
                "-k {} -c listen_addresses= -c shared_buffers=32MB -c max_connections=60",
                self.folder.display()
            );
            control.arg("-o").arg(options);
        }
        control.arg(what).current_dir(&self.folder);
        if let Some(user) = self.user {
            control.uid(user);
        }
        // The server would keep a pipe open for as long as it runs.
        control
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        let done = control.status().expect("pg_ctl");
        assert!(done.success(), "pg_ctl {what}: {}", log(&self.folder));
    }

    /// The address of a database of this name.
    #[must_use]
    pub fn address(&self, database: &str) -> String {
        let socket = self.folder.display().to_string().replace('/', "%2F");
        format!("postgres://coldtrail@{socket}/{database}")
    }

    /// Makes an empty database and returns its address.
    ///
    /// # Panics
    /// It cannot be made.
    #[must_use]
    pub fn database(&self) -> String {
        static MADE: AtomicUsize = AtomicUsize::new(0);
        let name = format!("test{}", MADE.fetch_add(1, Ordering::Relaxed));
        let mut client = self.client("postgres");
        client
            .batch_execute(&format!("CREATE DATABASE {name}"))
            .expect("a database");
        self.address(&name)
    }

    fn client(&self, database: &str) -> Client {
        Client::connect(&self.address(database), NoTls).expect("a connection")
    }
}

fn log(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("log")).unwrap_or_default()
}
