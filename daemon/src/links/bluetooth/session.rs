//! Doing what the course says, on one connection to the bus.

use std::time::Duration;

use btleplug::api::{Central as _, CentralEvent, CentralState, Peripheral as _};
use futures_util::StreamExt as _;
use tarehand_mixing::Tick;
use tarehand_protocol::scale::profile::{Notified, Source, Uuid};

use super::course::{Act, Course, Ended, Way};
use super::fault::within;
use super::freshness::{Freshness, Rhythm, Verdict};
use super::limits::{CALL, FAREWELL, LOOK, PROBE, SCAN};
use super::named::{Address, Named};
use super::outlet::Outlet;
use super::pick::{Pick, pick};
use super::plan::Plan;
use super::radio::{Bus, Found, Interest, Look, Radio, look_around};
use super::scale::{self, About, Ears, Events};
use super::trouble::Trouble;
use crate::clock::Clock;
use crate::links::LinkEvent;

/// What outlives a connection to the bus.
pub(super) struct Lasting {
    pub(super) plan: Plan,
    pub(super) clock: Clock,
    pub(super) course: Course,
    pub(super) freshness: Freshness,
    pub(super) outlet: Outlet,
    /// Which scale turned out to be meant: it is found again at once, also beside another of its name.
    pub(super) known: Option<Address>,
}

/// What lives on one connection to the bus; dropped inside its runtime.
#[derive(Default)]
pub(super) struct Session {
    bus: Option<Bus>,
    radios: Vec<Radio>,
    found: Option<Found>,
    /// Kept until the scale is let go of: on a dead bus, dropping a stream is the last thing to be done.
    ears: Option<Ears>,
}

impl Session {
    /// Does what the course says until another connection to the bus is needed.
    pub(super) async fn run(&mut self, lasting: &mut Lasting) {
        loop {
            if self.bus.is_some() && lasting.course.needs_new_bus() {
                return;
            }
            let ended = self.act(lasting).await;
            if let Some(trouble) = lasting.course.ended(ended) {
                lasting.outlet.gone(&trouble).await;
            }
        }
    }

    /// Lets go of the scale, as well as can be: the link ends.
    pub(super) async fn farewell(&mut self) {
        if let Some(found) = self.found.take() {
            let _let_go = scale::disconnect(&found, FAREWELL).await;
        }
    }

    async fn act(&mut self, lasting: &mut Lasting) -> Ended {
        let done = match lasting.course.act() {
            Act::OpenBus => Bus::open().await.map(|bus| self.bus = Some(bus)),
            Act::FindRadio => self.find_radio(&lasting.plan.named).await,
            Act::Scan => self.scan(&lasting.plan.named, lasting.known).await,
            Act::Connect => match &self.found {
                Some(found) => scale::connect(found).await,
                None => Err(Trouble::Stuck),
            },
            Act::Prepare => self.prepare(&lasting.plan).await,
            Act::Listen => Err(self.listen(lasting).await),
            Act::LetGo => self.let_go(lasting.plan.way()).await,
            Act::Wait(pause) => {
                tokio::time::sleep(pause).await;
                Ok(())
            }
        };
        match done {
            Ok(()) => Ended::Well,
            Err(trouble) => Ended::Badly(trouble),
        }
    }

    async fn find_radio(&mut self, named: &Named) -> Result<(), Trouble> {
        let Some(bus) = &self.bus else {
            return Err(Trouble::NoBus);
        };
        let only = match named {
            Named::Address { adapter, .. } => adapter.as_deref(),
            Named::Name(_) => None,
        };
        self.radios = bus.radios(only).await?;
        Ok(())
    }

    async fn scan(&mut self, named: &Named, known: Option<Address>) -> Result<(), Trouble> {
        let again = known.map(|address| Named::Address {
            address,
            adapter: None,
        });
        let picked = |found: &[Found]| {
            let seen: Vec<_> = found.iter().map(|found| found.seen.clone()).collect();
            match again.as_ref().map(|again| pick(again, &seen)) {
                Some(Pick::Found(place)) => (Pick::Found(place), Look::Enough),
                // Its address may be another one each time.
                Some(Pick::Missing | Pick::Alike(_)) | None => {
                    let picked = pick(named, &seen);
                    let look = enough(named, &picked, found);
                    (picked, look)
                }
            }
        };
        let judge = |found: &[Found]| picked(found).1;
        let limit = match named {
            Named::Address { .. } => SCAN,
            Named::Name(_) => SCAN / 2,
        };
        let mut found = look_around(&self.radios, limit, Interest::One(named), judge).await?;
        match picked(&found).0 {
            Pick::Found(place) => {
                self.found = Some(found.swap_remove(place));
                Ok(())
            }
            Pick::Missing => Err(Trouble::NotInReach(named.to_string())),
            Pick::Alike(addresses) => Err(Trouble::Alike {
                name: named.to_string(),
                addresses,
            }),
        }
    }

    async fn prepare(&mut self, plan: &Plan) -> Result<(), Trouble> {
        if let (Some(found), Source::Characteristic(wanted)) = (&self.found, &plan.source) {
            self.ears = Some(scale::prepare(found, wanted).await?);
        }
        Ok(())
    }

    async fn let_go(&mut self, way: Way) -> Result<(), Trouble> {
        let Some(found) = self.found.take() else {
            return Ok(());
        };
        let let_go = match way {
            Way::Connected => scale::disconnect(&found, CALL).await,
            Way::CalledOut => {
                found.radio.stop_scan().await;
                Ok(())
            }
        };
        self.ears = None;
        let_go
    }

    /// Hands on what the scale says, until it is gone.
    async fn listen(&mut self, lasting: &mut Lasting) -> Trouble {
        let Some(found) = &self.found else {
            return Trouble::Stuck;
        };
        let mut hearing = Hearing::begin(found, lasting).await;
        match (&hearing.lasting.plan.source.clone(), &mut self.ears) {
            (Source::Characteristic(wanted), Some(ears)) => tokio::select! {
                trouble = hear(&mut hearing, ears) => trouble,
                trouble = watch_connection(found) => trouble,
                trouble = keep_started(found, wanted) => trouble,
            },
            (Source::Characteristic(_), None) => Trouble::Lost(scale::words(found)),
            (Source::Manufacturer(company), _) => {
                overhear(&mut hearing, CalledOut::Company(*company)).await
            }
            (Source::ServiceData(service), _) => {
                overhear(&mut hearing, CalledOut::Service(*service)).await
            }
        }
    }
}

/// Returns whether to look on: of two alike one may be heard first, so a name is looked for all the time.
fn enough(named: &Named, picked: &Pick, found: &[Found]) -> Look {
    match (picked, named) {
        (Pick::Found(_), Named::Address { .. }) | (Pick::Alike(_), _) => Look::Enough,
        (Pick::Found(place), Named::Name(_)) => match found.get(*place) {
            Some(found) if found.seen.connected => Look::Enough,
            Some(_) | None => Look::On,
        },
        (Pick::Missing, _) => Look::On,
    }
}

/// One connection being heard.
struct Hearing<'a> {
    found: &'a Found,
    lasting: &'a mut Lasting,
    about: About,
    told: Opening,
    heard: Spoken,
}

/// Whether the bench was told that the scale is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Opening {
    Told,
    Due,
}

/// Whether the scale has said something on this connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Spoken {
    Yes,
    NotYet,
}

impl<'a> Hearing<'a> {
    async fn begin(found: &'a Found, lasting: &'a mut Lasting) -> Self {
        lasting.freshness.listen(wall(&lasting.clock));
        Self {
            found,
            lasting,
            about: About::default(),
            told: Opening::Due,
            heard: Spoken::NotYet,
        }
    }

    /// Says that the scale is there.
    async fn open(&mut self) {
        if self.told == Opening::Told {
            return;
        }
        self.told = Opening::Told;
        self.lasting.course.heard();
        self.lasting.known = Some(self.found.seen.address);
        let outlet = &mut self.lasting.outlet;
        outlet
            .tell(LinkEvent::Opened {
                device: scale::words(self.found),
                key: self.found.seen.address.key(),
            })
            .await;
        outlet
            .tell(LinkEvent::About {
                division: self.about.division,
                capacity: None,
                battery_percent: self.about.battery_percent,
            })
            .await;
    }

    async fn value(&mut self, bytes: Vec<u8>) {
        let at: Tick = self.lasting.clock.now();
        let verdict = self
            .lasting
            .freshness
            .judge(wall(&self.lasting.clock), &bytes);
        self.heard = Spoken::Yes;
        match verdict {
            Verdict::News => {
                self.open().await;
                self.lasting.outlet.packet(at, bytes);
            }
            Verdict::Stale => tracing::debug!(?bytes, "thrown away: kept from before the gap"),
            Verdict::Double => tracing::trace!(?bytes, "thrown away: the same notification"),
        }
    }

    /// Returns why the scale is gone, if it has been silent for too long.
    fn silent(&self) -> Option<Trouble> {
        let gone = self.lasting.freshness.is_gone(wall(&self.lasting.clock));
        gone.then(|| match self.heard {
            Spoken::Yes => Trouble::Quiet(scale::words(self.found)),
            Spoken::NotYet => Trouble::Silent(scale::words(self.found)),
        })
    }
}

/// Takes notifications until the scale is gone.
async fn hear(hearing: &mut Hearing<'_>, ears: &mut Ears) -> Trouble {
    hearing.about = ears.about;
    // A scale that speaks seldom is there once it is subscribed to; of another only its word is proof.
    if hearing.lasting.freshness.rhythm() == Rhythm::Seldom {
        hearing.open().await;
    }
    let mut looks = tokio::time::interval(LOOK);
    loop {
        tokio::select! {
            biased;
            Some(event) = ears.events.next() => {
                if let Some(trouble) = ends(&event, hearing.found) {
                    return trouble;
                }
            }
            Some(value) = ears.values.next() => {
                if value.uuid.as_u128() == ears.characteristic.bits() {
                    hearing.value(value.value).await;
                }
            }
            _ = looks.tick() => {
                if let Some(trouble) = hearing.silent() {
                    return trouble;
                }
            }
        }
    }
}

/// Returns what an event means for the scale, if it ends the connection.
fn ends(event: &CentralEvent, found: &Found) -> Option<Trouble> {
    match event {
        CentralEvent::DeviceDisconnected(id) if *id == found.peripheral.id() => {
            Some(Trouble::Lost(scale::words(found)))
        }
        CentralEvent::StateUpdate(CentralState::PoweredOff) => Some(Trouble::RadioOff),
        _ => None,
    }
}

/// Asks again and again whether the connection stands: of many ends no event tells.
async fn watch_connection(found: &Found) -> Trouble {
    loop {
        tokio::time::sleep(PROBE).await;
        if let Err(trouble) = scale::is_connected(found).await {
            return trouble;
        }
    }
}

/// Writes again what makes the scale speak, where it is to be written again.
async fn keep_started(found: &Found, wanted: &Notified) -> Trouble {
    let again = wanted
        .start
        .as_ref()
        .and_then(|start| Some((start, start.every?)));
    let Some((start, every)) = again else {
        return std::future::pending().await;
    };
    loop {
        tokio::time::sleep(every).await;
        if let Err(trouble) = scale::write_start(found, wanted, start).await {
            return trouble;
        }
    }
}

/// Under what a weight is called out.
#[derive(Clone, Copy, Debug)]
enum CalledOut {
    Company(u16),
    Service(Uuid),
}

impl CalledOut {
    fn of(self, event: CentralEvent, found: &Found) -> Option<Vec<u8>> {
        let ours = found.peripheral.id();
        match (self, event) {
            (
                Self::Company(company),
                CentralEvent::ManufacturerDataAdvertisement {
                    id,
                    mut manufacturer_data,
                },
            ) if id == ours => manufacturer_data.remove(&company),
            (
                Self::Service(service),
                CentralEvent::ServiceDataAdvertisement { id, service_data },
            ) if id == ours => service_data
                .into_iter()
                .find(|(uuid, _)| uuid.as_u128() == service.bits())
                .map(|(_, data)| data),
            _ => None,
        }
    }
}

/// Takes what the scale calls out until it is gone.
async fn overhear(hearing: &mut Hearing<'_>, what: CalledOut) -> Trouble {
    let found = hearing.found;
    let events = within(CALL, found.radio.adapter().events()).await;
    let mut events: Events = match events {
        Ok(events) => events,
        Err(fault) => return fault.of_radio(),
    };
    if let Err(trouble) = found.radio.start_scan().await {
        return trouble;
    }
    let mut looks = tokio::time::interval(LOOK);
    let watch = async {
        loop {
            tokio::time::sleep(PROBE).await;
            if let Err(trouble) = found.radio.check().await {
                return trouble;
            }
        }
    };
    tokio::pin!(watch);
    loop {
        tokio::select! {
            biased;
            Some(event) = events.next() => {
                if let Some(trouble) = ends(&event, found) {
                    return trouble;
                }
                if let Some(bytes) = what.of(event, found) {
                    hearing.value(bytes).await;
                }
            }
            trouble = &mut watch => return trouble,
            _ = looks.tick() => {
                if let Some(trouble) = hearing.silent() {
                    // It is asleep rather than silent: nothing is connected.
                    return match trouble {
                        Trouble::Silent(device) => Trouble::Quiet(device),
                        trouble => trouble,
                    };
                }
            }
        }
    }
}

/// Returns the time of the wall, on a clock of its own.
fn wall(clock: &Clock) -> Duration {
    clock.now().since(Tick::ZERO).div_f64(clock.rate())
}
