//! The server under load: the released program in a process of its own.

use std::error::Error;
use std::fs;
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::talk::Talk;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

pub struct Server {
    child: Child,
    pub address: SocketAddr,
    /// From starting the process to the first page answered.
    pub start_up: Duration,
}

impl Server {
    pub fn start(program: &Path, folder: &Path, port: u16) -> Outcome<Self> {
        let address = SocketAddr::from(([127, 0, 0, 1], port));
        let begun = Instant::now();
        let mut child = Command::new(program)
            .args(["serve", "--port", &port.to_string(), "--folder"])
            .arg(folder)
            .arg("--shop")
            .arg(folder.join("shop.toml"))
            .stdout(Stdio::null())
            .spawn()?;
        while TcpStream::connect(address).is_err() {
            if let Some(status) = child.try_wait()? {
                return Err(format!("the server ended: {status}").into());
            }
            std::thread::sleep(Duration::from_millis(1));
        }
        let said = Talk::open(address, "0")?.get("/sign-in")?;
        if said.status != 200 {
            return Err(format!("{said:?}").into());
        }
        Ok(Self {
            child,
            address,
            start_up: begun.elapsed(),
        })
    }

    /// Memory in use now and at the most so far, MB. Source: proc(5), `VmRSS` and `VmHWM`.
    pub fn memory_mb(&self) -> Outcome<[f64; 2]> {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let of = |name: &str| {
            let line = status.lines().find(|line| line.starts_with(name));
            let kb = line.and_then(|line| line.split_whitespace().nth(1));
            kb.and_then(|kb| kb.parse::<f64>().ok())
                .map(|kb| kb * 1024.0 / 1e6)
        };
        let missing = "the system does not tell the memory in use";
        Ok([of("VmRSS").ok_or(missing)?, of("VmHWM").ok_or(missing)?])
    }

    /// Processor time used so far. Source: proc(5), `stat`; a tick is a hundredth of a second on Linux.
    pub fn processor_s(&self) -> Outcome<f64> {
        let stat = fs::read_to_string(format!("/proc/{}/stat", self.child.id()))?;
        let after = stat.rsplit(')').next().unwrap_or_default();
        let fields: Vec<_> = after.split_whitespace().collect();
        let ticks: f64 = [11, 12]
            .iter()
            .filter_map(|at| fields.get(*at)?.parse::<f64>().ok())
            .sum();
        Ok(ticks / 100.0)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
