//! What is attached.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use tarehand_protocol::api::{
    BenchScale, Caution, PortLine, RadioLine, RadioList, ScaleList, ScaleState, ScaleWord,
};
use tarehand_protocol::scale::Profile;

use super::Service;
use super::apart::apart;
use super::problem::Failure;
use crate::links::bluetooth::{self, Address, Seen};
use crate::links::hid;
use crate::links::serial::{self, Access, Listed, Meddler};
use crate::log::Device;

/// Everything attached that may be a scale, and the scales that benches read.
#[utoipa::path(get, path = "/v1/scales", responses((status = 200, body = ScaleList)))]
pub(super) async fn scales(State(service): State<Service>) -> Result<Json<ScaleList>, Failure> {
    let look = || {
        let usb = hid::Machine::default().attached();
        (serial::list(), usb, serial::meddlers())
    };
    let (listed, usb, meddlers) = apart(move || Ok(look())).await?;
    let scales = bench_scales(&service);
    let ports = listed
        .iter()
        .map(|listed| port_line(listed, bench_at(&scales, &listed.port.path)));
    let mut ports: Vec<PortLine> = ports.collect();
    ports.extend(usb.iter().filter_map(|device| usb_line(device, &scales)));
    Ok(Json(ScaleList {
        ports,
        scales,
        radio: None,
        cautions: cautions(&meddlers, &listed),
    }))
}

/// Returns what the services of the system may do to the scales of this machine.
fn cautions(meddlers: &[Meddler], listed: &[Listed]) -> Vec<Caution> {
    let matters = |meddler: &&Meddler| match meddler {
        Meddler::Modems => listed.iter().any(Listed::may_be_scale),
        // What it has taken is listed no more.
        Meddler::Braille => true,
    };
    let caution = |meddler: &Meddler| Caution {
        what: meddler.what(),
        hint: meddler.hint(),
    };
    meddlers.iter().filter(matters).map(caution).collect()
}

/// Returns the bench that reads the scale at a path.
fn bench_at(scales: &[BenchScale], path: &str) -> Option<String> {
    let reads = |scale: &&BenchScale| scale.scale.device.split([' ', ',']).next() == Some(path);
    scales.iter().find(reads).map(|scale| scale.bench.clone())
}

/// Returns a USB device that is a scale, or is sold as one.
fn usb_line(device: &hid::Attached, scales: &[BenchScale]) -> Option<PortLine> {
    let path = device.path.display().to_string();
    let words = device.name.to_lowercase();
    let named_so = ["scale", "balance", "weigh"]
        .iter()
        .any(|word| words.contains(word));
    let bench = bench_at(scales, &path);
    let (state, hint) = match device.kind {
        hid::Kind::Scale if bench.is_some() => ("read by a bench", None),
        hid::Kind::Scale if hid::is_permitted(device) => ("free", None),
        hid::Kind::Scale => ("not permitted", Some(hid::hint(device))),
        hid::Kind::Keyboard if named_so => (
            "a keyboard: it types its weight",
            Some("see whether it can be set to send its weight".to_owned()),
        ),
        hid::Kind::Unreadable => ("a scale whose reports cannot be read", None),
        hid::Kind::Keyboard | hid::Kind::Other => return None,
    };
    Some(PortLine {
        path,
        product: Some(device.name.clone()),
        identity: device.key.clone(),
        state: state.to_owned(),
        hint,
        bench,
    })
}

/// What Bluetooth hears: listens for a few seconds, and leaves a radio off that is off.
#[utoipa::path(get, path = "/v1/scales/radio", responses((status = 200, body = RadioList)))]
pub(super) async fn radio(State(service): State<Service>) -> Result<Json<RadioList>, Failure> {
    let told = service.surroundings.log.devices().await?;
    let heard = apart(|| Ok(bluetooth::list())).await?;
    let read = bench_scales(&service);
    Ok(Json(match heard {
        Ok(seen) => RadioList {
            devices: radio_lines(&seen, &told, &read),
            trouble: None,
            hint: None,
        },
        Err(trouble) => RadioList {
            devices: radio_lines(&[], &told, &read),
            trouble: Some(trouble.to_string()),
            hint: Some(trouble.hint()),
        },
    }))
}

fn bench_scales(service: &Service) -> Vec<BenchScale> {
    let benches = service.benches.all();
    benches
        .iter()
        .flat_map(|bench| {
            let view = Arc::clone(&bench.view().borrow());
            let line = |which: ScaleWord, scale: &ScaleState| BenchScale {
                bench: bench.name().to_owned(),
                which,
                scale: scale.clone(),
                // What a scale said before it was lost is not what it says now.
                reading: bench.last_reading(which).filter(|_| scale.open),
            };
            let main = view.scale.as_ref();
            let main = main.map(|scale| line(ScaleWord::Main, scale));
            let fine = view.fine_scale.as_ref();
            let fine = fine.map(|scale| line(ScaleWord::Fine, scale));
            [main, fine].into_iter().flatten()
        })
        .collect()
}

/// Returns the devices a person may choose from: what is known first, then what is in reach and has a name.
fn radio_lines(seen: &[Seen], told: &[Device], read: &[BenchScale]) -> Vec<RadioLine> {
    let mut lines: Vec<RadioLine> = seen
        .iter()
        .map(|seen| RadioLine {
            adapter: Some(seen.adapter.clone()),
            name: seen.name.clone(),
            signal_dbm: seen.signal,
            in_reach: seen.is_here(),
            ..radio_line(seen.address, seen.weight_service, told, read)
        })
        .filter(|line| line.known_as.is_some() || (line.in_reach && line.name.is_some()))
        .collect();
    let remembered = told
        .iter()
        .filter_map(|device| Address::of_key(&device.key))
        .filter(|address| seen.iter().all(|seen| seen.address != *address))
        .map(|address| radio_line(address, false, told, read));
    lines.extend(remembered);
    lines.sort_by_key(|line| (line.known_as.is_none(), !line.in_reach));
    lines
}

fn radio_line(
    address: Address,
    weight_service: bool,
    told: &[Device],
    read: &[BenchScale],
) -> RadioLine {
    let key = address.key();
    let device = told.iter().find(|device| device.key == key);
    let profile = device.and_then(|device| Profile::parse(&device.profile).ok());
    let address = address.to_string();
    let reader = read
        .iter()
        .find(|read| read.scale.open && read.scale.device.ends_with(&address));
    RadioLine {
        adapter: None,
        name: None,
        signal_dbm: None,
        in_reach: false,
        known_as: match profile {
            Some(profile) => Some(profile.settings().name.clone()),
            None => weight_service.then(|| "the open Weight Scale Service".to_owned()),
        },
        battery_percent: reader.and_then(|read| read.scale.battery_percent),
        bench: reader.map(|read| read.bench.clone()),
        address,
    }
}

fn port_line(listed: &Listed, bench: Option<String>) -> PortLine {
    let state = match &listed.access {
        Access::Free if listed.may_be_scale() => "free".to_owned(),
        Access::Free => "a plain port, nothing says what hangs on it".to_owned(),
        Access::Ours => "read by a bench".to_owned(),
        Access::InUse(holder) => match &holder.name {
            Some(name) => format!("in use by {name} (process {})", holder.process),
            None => format!("in use by process {}", holder.process),
        },
        Access::NotPermitted(_) => "not permitted".to_owned(),
    };
    PortLine {
        path: listed.port.path.clone(),
        product: Some(listed.port.words().to_owned()).filter(|words| !words.is_empty()),
        identity: listed.key.clone(),
        state,
        hint: listed.hint(),
        bench,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(last: u8, name: Option<&str>, signal: Option<i16>) -> Seen {
        Seen {
            adapter: "hci0".to_owned(),
            address: Address::from_bytes([0xAA, 0xBB, 0xCC, 0, 0, last]),
            name: name.map(str::to_owned),
            signal,
            connected: false,
            weight_service: last == 2,
        }
    }

    #[test]
    fn a_service_that_probes_for_modems_matters_where_an_adapter_is_and_one_that_takes_it_always() {
        let both = [Meddler::Modems, Meddler::Braille];
        let told: Vec<String> = cautions(&both, &[])
            .into_iter()
            .map(|caution| caution.what)
            .collect();
        assert_eq!(told, [Meddler::Braille.what()]);
        assert_eq!(cautions(&[], &[]), []);
    }

    #[test]
    fn a_keyboard_that_is_sold_as_a_scale_is_said_to_be_one_and_any_other_is_not_listed() {
        let keyboard = |name: &str| hid::Attached {
            path: "/dev/hidraw7".into(),
            key: "hid:1209:0002:".to_owned(),
            name: name.to_owned(),
            numbers: (0x1209, 2),
            descriptor: Vec::new(),
            kind: hid::Kind::Keyboard,
        };
        let line = usb_line(&keyboard("Counter Scale"), &[]).unwrap();
        assert_eq!(line.state, "a keyboard: it types its weight");
        assert!(line.hint.unwrap().contains("set to send"));
        assert_eq!(usb_line(&keyboard("Typing board"), &[]), None);
    }

    #[test]
    fn known_scales_are_listed_first_also_out_of_reach_and_others_only_by_name() {
        let told = [3, 4].map(|last| Device {
            key: seen(last, None, None).address.key(),
            told_unit: None,
            profile: "name = \"window scale\"\n".to_owned(),
            last_seen: String::new(),
        });
        let all = [
            seen(1, Some("beads"), Some(-40)),
            seen(2, None, Some(-60)),
            seen(3, Some("pan"), None),
            seen(5, None, Some(-20)),
            seen(6, Some("old"), None),
        ];
        let lines: Vec<String> = radio_lines(&all, &told, &[])
            .iter()
            .map(|line| format!("{} {:?} {}", line.address, line.known_as, line.in_reach))
            .collect();
        assert_eq!(
            lines,
            [
                "AA:BB:CC:00:00:02 Some(\"the open Weight Scale Service\") true",
                "AA:BB:CC:00:00:03 Some(\"window scale\") false",
                "AA:BB:CC:00:00:04 Some(\"window scale\") false",
                "AA:BB:CC:00:00:01 None true",
            ]
        );
    }
}
