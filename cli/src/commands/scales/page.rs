//! Everything attached, on one page.

use tarehand_protocol::api::{Caution, PortLine, ScaleList};

use super::bench::bench;
use super::radio::by_radio;
use crate::words::{Column, Width, shown, table};

/// Writes the page: ports, radio, the scales that are read, and what may spoil it.
pub(super) fn page(list: &ScaleList, width: Width) -> String {
    let mut parts = vec![ports(&list.ports, width)];
    parts.extend(list.radio.as_ref().map(|radio| by_radio(radio, width)));
    parts.extend(list.scales.iter().map(|scale| bench(scale, &list.scales)));
    if !list.cautions.is_empty() {
        let cautions: Vec<String> = list.cautions.iter().map(caution).collect();
        parts.push(format!("Also on this machine\n{}", cautions.join("\n")));
    }
    parts.join("\n\n")
}

/// Writes what is wrong, and what to do about it.
pub(super) fn said(trouble: &str, hint: Option<&str>) -> String {
    let hint = hint.map(|hint| format!(": {}", shown(hint)));
    format!("  ! {}{}", shown(trouble), hint.unwrap_or_default())
}

fn caution(caution: &Caution) -> String {
    said(&caution.what, Some(&caution.hint))
}

fn ports(ports: &[PortLine], width: Width) -> String {
    if ports.is_empty() {
        return "no port that may have a scale".to_owned();
    }
    let rows: Vec<Vec<String>> = ports.iter().map(port).collect();
    let columns = [Column::Left, Column::Name, Column::Prose, Column::Left];
    format!("Ports\n{}", table(&columns, &rows, width))
}

fn port(port: &PortLine) -> Vec<String> {
    let bench = port.bench.as_ref().map(|bench| format!("read by {bench}"));
    let state = match &port.hint {
        Some(hint) => format!("{}: {hint}", port.state),
        None => port.state.clone(),
    };
    let product = port.product.as_deref().unwrap_or("–");
    let bench = bench.as_deref().unwrap_or_default();
    [&port.path, product, &state, bench]
        .map(|cell| shown(cell).into_owned())
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_port(state: &str, hint: Option<&str>) -> PortLine {
        PortLine {
            path: "/dev/ttyUSB0".to_owned(),
            product: Some("serial adapter".to_owned()),
            identity: String::new(),
            state: state.to_owned(),
            hint: hint.map(str::to_owned),
            bench: None,
        }
    }

    #[test]
    fn a_port_says_why_it_cannot_be_opened_and_the_machine_what_may_spoil_it() {
        let list = ScaleList {
            ports: vec![
                on_port("not permitted", Some("add yourself to group `dialout`")),
                on_port("free", None),
            ],
            scales: Vec::new(),
            radio: None,
            cautions: vec![Caution {
                what: "a service runs that takes adapters".to_owned(),
                hint: "stop it".to_owned(),
            }],
        };
        insta::assert_snapshot!(page(&list, Width::Full), @r"
        Ports
          /dev/ttyUSB0  serial adapter  not permitted: add yourself to group `dialout`
          /dev/ttyUSB0  serial adapter  free

        Also on this machine
          ! a service runs that takes adapters: stop it
        ");
        let nothing = ScaleList {
            ports: Vec::new(),
            cautions: Vec::new(),
            ..list
        };
        assert_eq!(page(&nothing, Width::Full), "no port that may have a scale");
    }
}
