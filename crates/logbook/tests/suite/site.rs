//! The invented site of the tests: one founding chain, four people, the instruments and one dish.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use chrono::NaiveDate;
use ledger::kinds::{self, Found};
use ledger::{
    AttachmentRef, Bond, ChainId, Digest, Draft, Entry, EntryId, Kind, PersonId, Place, SigningKey,
    SiteId, Subject,
};
use logbook::document::{AdoptedDoc, AttemptDoc, PositionDoc, RecordDoc};
use logbook::events::{
    Accreditation, Answer, AnswerGiven, AttemptFinished, AttemptStarted, ChecklistAdopted,
    ClockReading, Component, CriteriaAdopted, Decision, Distribution, HoldEnded, HoldStarted,
    Insistence, InstrumentCalibrated, InstrumentRegistered, Origin, Paper, Payload,
    PersonCertified, PersonEnrolled, PositionRegistered, RecordOpened, RecordReviewed,
    RetestRulesAdopted, Role, RoleHeld, SerialFitted, SourceRevision, StepWitnessed,
    VerdictReached, Witnessing,
};
use logbook::rules::{Act, Actor, MayNot, may};
use logbook::source::{Asks, Checklist, Criteria, content_hash};
use logbook::{Judgement, Key, MemoryShelf, Moment, judge, project, read, typed};

pub(crate) const CHECKLIST: &str = include_str!("../../../../checklists/p06-gas-leak-test.toml");
/// The other shipped checklists, by file name.
pub(crate) const OTHERS: [(&str, &str); 5] = [
    (
        "p02-focal-zone-lockout.toml",
        include_str!("../../../../checklists/p02-focal-zone-lockout.toml"),
    ),
    ("p07-purge-and-fill.toml", include_str!("../../../../checklists/p07-purge-and-fill.toml")),
    ("p09-facet-alignment.toml", include_str!("../../../../checklists/p09-facet-alignment.toml")),
    (
        "p10-receiver-inspection.toml",
        include_str!("../../../../checklists/p10-receiver-inspection.toml"),
    ),
    ("p13-performance-run.toml", include_str!("../../../../checklists/p13-performance-run.toml")),
];
pub(crate) const CRITERIA: &str = include_str!("../../../../checklists/criteria.toml");
pub(crate) const RETEST: &str = include_str!("../../../../checklists/retest-rules.toml");

pub(crate) const GAS: &str = "P-03";
pub(crate) const SUPERVISOR: &str = "P-02";
pub(crate) const TRAINEE: &str = "P-09";
pub(crate) const WITNESS: &str = "P-10";

pub(crate) fn key(seed: u8) -> SigningKey {
    SigningKey::from_bytes(&[seed; 32]).unwrap()
}

pub(crate) fn subject(number: u64) -> Subject {
    Subject::new(format!("01990000-0000-7000-8000-{number:012x}")).unwrap()
}

pub(crate) fn at(text: &str) -> Moment {
    Moment::parse(text).unwrap()
}

pub(crate) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub(crate) fn direct() -> Origin {
    Origin::Direct {}
}

/// The record that all tests fill.
pub(crate) fn record() -> Subject {
    subject(900)
}

/// Readings of one attempt, as typed.
#[derive(Clone)]
pub(crate) struct Readings {
    pub(crate) start: [&'static str; 3],
    pub(crate) end: [Option<&'static str>; 3],
    pub(crate) hold: [&'static str; 2],
    pub(crate) sniff: &'static str,
}

#[derive(Clone)]
pub(crate) struct Site {
    pub(crate) shelf: MemoryShelf,
    pub(crate) entries: Vec<Entry>,
    chain: ChainId,
    site: SiteId,
    previous: Option<EntryId>,
    lacks_limits: bool,
    /// The id of the checklist that the record fills.
    list: String,
}

impl Site {
    /// A site with everything registered and adopted, and a record opened for PC-04.
    pub(crate) fn ready() -> Self {
        static READY: LazyLock<Site> = LazyLock::new(|| Site::ready_with(CHECKLIST, CRITERIA));
        READY.clone()
    }

    pub(crate) fn ready_with(checklist: &str, criteria: &str) -> Self {
        let mut site = Self::founded();
        let criteria_read = Criteria::parse("criteria.toml", criteria).unwrap();
        site.lacks_limits =
            Checklist::parse_with("checklist.toml", checklist, &criteria_read).is_err();
        site.list = Checklist::parse("checklist.toml", checklist).unwrap().id;
        site.people();
        site.instruments();
        site.adopt(checklist, criteria);
        let joints: Vec<String> = (1..=18).map(|n| format!("G{n:02}")).collect();
        let position = PositionRegistered {
            position: "PC-04".into(),
            check_letter: "H".into(),
            cluster: "PC".into(),
            dish_type: "LV-3".into(),
            lists: BTreeMap::from([("joints".to_owned(), joints)]),
        };
        site.write("2026-08-24T07:20:00-04:00", SUPERVISOR, &subject(500), &position);
        let fitted = SerialFitted {
            position: "PC-04".into(),
            slot: "engine".into(),
            serial: "EN-0339".into(),
            worked_at: at("2026-08-20T10:00:00-04:00"),
            reason: None,
        };
        site.write("2026-08-24T07:21:00-04:00", SUPERVISOR, &subject(500), &fitted);
        site.open_record();
        site
    }

    fn founded() -> Self {
        let authority = key(1);
        let chain_key = key(2);
        let mut site = Self {
            shelf: MemoryShelf::new(),
            entries: Vec::new(),
            chain: ChainId::of(&chain_key.public().to_der()),
            site: SiteId::of(&authority.public().to_der()),
            previous: None,
            lacks_limits: false,
            list: String::new(),
        };
        let found = Found {
            site_name: "Pampa Chercán Solar Yard".into(),
            installation_name: "L1".into(),
            authority_key: authority.public(),
            authority_certificate: "bm9uZQ==".into(),
            intermediate_certificate: "bm9uZQ==".into(),
            authority_signature: kinds::sign_founding(&authority, &chain_key.public()).unwrap(),
        };
        let payload = ledger::canonical::to_bytes(&found).unwrap();
        let draft =
            site.draft("2026-08-24T07:00:00-04:00", "", (kinds::FOUND, 1), &subject(1), payload);
        site.seal(draft, None);
        site
    }

    fn people(&mut self) {
        let people: [(&str, &str, u8, Role); 4] = [
            (GAS, "Ivana Brize", 13, Role::GasTechnician),
            (SUPERVISOR, "Teodoro Manquel", 12, Role::Supervisor),
            (TRAINEE, "Bruno Calfú", 19, Role::Trainee),
            (WITNESS, "Delfina Arrate", 20, Role::OwnersWitness),
        ];
        for (index, (id, name, seed, role)) in people.into_iter().enumerate() {
            let papers = if id == GAS {
                vec![Paper {
                    kind: "hydrogen-ticket".into(),
                    number: "HT-118".into(),
                    issued: day("2024-09-06"),
                    expires: Some(day("2026-09-05")),
                    scan: None,
                }]
            } else {
                Vec::new()
            };
            let enrolled = PersonEnrolled {
                person: id.into(),
                name: name.into(),
                employer: "Yard crew".into(),
                roles: vec![RoleHeld { role, from: day("2026-08-01"), until: None }],
                papers,
            };
            let of = subject(100 + index as u64);
            self.write("2026-08-24T07:05:00-04:00", "", &of, &enrolled);
            let certified = PersonCertified {
                person: id.into(),
                key: key(seed).public(),
                certificate: "bm9uZQ==".into(),
            };
            self.write("2026-08-24T07:06:00-04:00", "", &of, &certified);
        }
    }

    fn instruments(&mut self) {
        type Row =
            (&'static str, &'static str, &'static str, &'static str, &'static str, &'static str);
        let rows: [Row; 5] = [
            ("PG-03", "gauge", "bar(g)", "0.1 bar", "0.25 bar", "2027-01-15"),
            ("PG-07", "gauge", "bar(g)", "0.1 bar", "0.63 bar", "2026-08-24"),
            ("TH-01", "thermometer", "°C", "0.1 K", "0.15 K", "2026-12-10"),
            ("BA-01", "barometer", "hPa", "0.1 hPa", "0.5 hPa", "2026-12-10"),
            ("TD-01", "tracer-detector", "ppm", "1 ppm", "1 ppm", "2026-12-10"),
        ];
        for (index, (id, kind, unit, resolution, scale, due)) in rows.into_iter().enumerate() {
            let of = subject(200 + index as u64);
            let registered = InstrumentRegistered {
                instrument: id.into(),
                kind: kind.into(),
                description: format!("{kind} of the yard"),
                maker_serial: format!("S-{index}"),
                range_low: format!("0 {unit}"),
                range_high: format!("250 {unit}"),
                resolution: resolution.into(),
                unit: unit.into(),
                owner: "site".into(),
            };
            self.write("2026-08-24T07:10:00-04:00", SUPERVISOR, &of, &registered);
            let calibrated = InstrumentCalibrated {
                instrument: id.into(),
                calibrated: day("2025-08-30"),
                due: day(due),
                laboratory: "Desert Metrology (invented)".into(),
                accreditation: Accreditation::Accredited,
                certificate: format!("K-{index}"),
                file: None,
                as_found: "in tolerance".into(),
                as_left: "unchanged".into(),
                components: vec![Component {
                    name: "scale".into(),
                    value: scale.into(),
                    distribution: Distribution::Rectangular,
                    source: "maker's limit of error".into(),
                }],
            };
            self.write("2026-08-24T07:11:00-04:00", SUPERVISOR, &of, &calibrated);
        }
    }

    fn adopt(&mut self, checklist: &str, criteria: &str) {
        let revision = "1".to_owned();
        let adopted = ChecklistAdopted {
            id: self.list.clone(),
            revision: revision.clone(),
            hash: content_hash(checklist),
            content: checklist.into(),
        };
        self.write("2026-08-24T07:15:00-04:00", SUPERVISOR, &subject(300), &adopted);
        let adopted = CriteriaAdopted {
            id: "dish-acceptance".into(),
            revision: revision.clone(),
            hash: content_hash(criteria),
            content: criteria.into(),
        };
        self.write("2026-08-24T07:16:00-04:00", SUPERVISOR, &subject(301), &adopted);
        let adopted = RetestRulesAdopted {
            id: "retest-rules".into(),
            revision,
            hash: content_hash(RETEST),
            content: RETEST.into(),
        };
        self.write("2026-08-24T07:17:00-04:00", SUPERVISOR, &subject(302), &adopted);
    }

    fn open_record(&mut self) {
        let named = |shelf: &MemoryShelf, key: Key, id: &str| {
            let bytes = logbook::Shelf::get(shelf, &key).unwrap().unwrap();
            let document: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
            let hash: Digest = document["hash"].as_str().unwrap().parse().unwrap();
            SourceRevision { id: id.into(), revision: "1".into(), hash }
        };
        let checklist = named(&self.shelf, Key::checklist(&self.list, "1"), &self.list);
        let criteria = named(&self.shelf, Key::criteria("dish-acceptance", "1"), "dish-acceptance");
        let opened = RecordOpened { position: "PC-04".into(), checklist, criteria };
        let now = at("2026-08-25T16:00:00-04:00");
        let actor = Actor { person: GAS, at: &now };
        let asked = may(&self.shelf, &actor, &Act::OpenRecord(&opened, Role::GasTechnician));
        if self.lacks_limits {
            assert_eq!(asked.unwrap_err().refusal().unwrap().code, "limits_lacking");
        } else {
            asked.unwrap();
        }
        self.write("2026-08-25T16:00:00-04:00", GAS, &record(), &opened);
    }

    pub(crate) fn draft(
        &self,
        claimed: &str,
        person: &str,
        (kind, kind_version): (&str, u32),
        about: &Subject,
        payload: Vec<u8>,
    ) -> Draft {
        Draft {
            claimed: claimed.into(),
            person: PersonId::new(person).unwrap(),
            kind: Kind::new(kind).unwrap(),
            kind_version,
            subject: about.clone(),
            payload,
            attachments: Vec::new(),
        }
    }

    /// Seals and projects, whatever the entry says.
    pub(crate) fn seal(&mut self, draft: Draft, bond: Option<(u8, Role)>) -> EntryId {
        let place = Place {
            site: self.site,
            chain: self.chain,
            number: self.entries.len() as u64 + 1,
            previous: self.previous,
            heads: Vec::new(),
        };
        let person_key = bond.map(|(seed, role)| (key(seed), role));
        let bond = person_key
            .as_ref()
            .map(|(key, role)| Bond { key, role: Kind::new(role.name()).unwrap() });
        let entry = ledger::seal(&place, draft, &key(2), bond.as_ref()).unwrap();
        project(&entry, &mut self.shelf).unwrap();
        let id = *entry.id();
        self.previous = Some(id);
        self.entries.push(entry);
        id
    }

    pub(crate) fn write<P: Payload>(
        &mut self,
        claimed: &str,
        person: &str,
        about: &Subject,
        event: &P,
    ) -> EntryId {
        let draft =
            self.draft(claimed, person, (P::KIND, P::VERSION), about, event.to_bytes().unwrap());
        self.seal(draft, None)
    }

    pub(crate) fn sign<P: Payload>(
        &mut self,
        claimed: &str,
        person: &str,
        about: &Subject,
        event: &P,
        (seed, role): (u8, Role),
    ) -> EntryId {
        let draft =
            self.draft(claimed, person, (P::KIND, P::VERSION), about, event.to_bytes().unwrap());
        self.seal(draft, Some((seed, role)))
    }

    pub(crate) fn may(&self, person: &str, now: &str, act: &Act<'_>) -> Result<(), MayNot> {
        may(&self.shelf, &Actor { person, at: &at(now) }, act)
    }

    pub(crate) fn record(&self) -> RecordDoc {
        read(&self.shelf, &Key::record(&record())).unwrap().unwrap()
    }

    pub(crate) fn attempt(&self, number: u32) -> AttemptDoc {
        self.record().attempt(number).unwrap().clone()
    }

    pub(crate) fn position(&self) -> PositionDoc {
        read(&self.shelf, &Key::position("PC-04")).unwrap().unwrap()
    }

    pub(crate) fn checklist(&self) -> Checklist {
        let key = Key::checklist(&self.list, "1");
        read::<AdoptedDoc<Checklist>>(&self.shelf, &key).unwrap().unwrap().read
    }

    pub(crate) fn criteria(&self) -> Criteria {
        let key = Key::criteria("dish-acceptance", "1");
        read::<AdoptedDoc<Criteria>>(&self.shelf, &key).unwrap().unwrap().read
    }

    pub(crate) fn judged(&self, attempt: u32) -> Judgement {
        judge(
            &self.record(),
            attempt,
            &self.checklist(),
            &self.criteria(),
            &logbook::Surroundings::default(),
        )
        .unwrap()
    }

    pub(crate) fn start(&mut self, attempt: u32, from_step: &str, when: &str) {
        self.start_assisted(attempt, from_step, when, Vec::new());
    }

    fn start_assisted(&mut self, attempt: u32, from_step: &str, when: &str, by: Vec<String>) {
        let reason = (attempt > 1).then(|| "the attempt before did not pass".to_owned());
        let event = AttemptStarted {
            attempt,
            from_step: from_step.into(),
            reason,
            role: Role::GasTechnician,
            assisted_by: by,
            permit: None,
            worked_at: at(when),
        };
        let record = record();
        self.may(GAS, when, &Act::StartAttempt(&record, &event)).unwrap();
        self.write(when, GAS, &record, &event);
    }

    /// An answer as the crew gives it: text typed into the step.
    pub(crate) fn reading(&self, step: &str, text: &str) -> Answer {
        let checklist = self.checklist();
        let Asks::Reading(asked) = &checklist.step(step).unwrap().asks else {
            panic!("{step} is no reading")
        };
        Answer::Read { reading: typed::reading(asked, text).unwrap().reading }
    }

    pub(crate) fn given(
        &self,
        attempt: u32,
        step: &str,
        answer: Answer,
        when: &str,
    ) -> AnswerGiven {
        let checklist = self.checklist();
        let role = match &checklist.step(step).unwrap().asks {
            Asks::Reading(asked) => asked.instrument.clone(),
            Asks::Table(asked) => asked.instrument.clone(),
            _ => None,
        };
        let instrument = role.map(|role| {
            match role.as_str() {
                "gauge" => "PG-03",
                "thermometer" => "TH-01",
                "barometer" => "BA-01",
                _ => "TD-01",
            }
            .to_owned()
        });
        AnswerGiven {
            attempt,
            step: step.into(),
            answer,
            instrument,
            role: Role::GasTechnician,
            origin: direct(),
            insisted: Vec::new(),
            worked_at: at(when),
        }
    }

    pub(crate) fn answer(
        &mut self,
        attempt: u32,
        step: &str,
        answer: Answer,
        when: &str,
    ) -> EntryId {
        let event = self.given(attempt, step, answer, when);
        self.may(GAS, when, &Act::Answer(&record(), &event)).unwrap();
        self.write(when, GAS, &record(), &event)
    }

    pub(crate) fn hold(&mut self, attempt: u32, step: &str, from: &str, to: &str) {
        let start = HoldStarted {
            attempt,
            step: step.into(),
            role: Role::GasTechnician,
            origin: direct(),
            worked_at: at(from),
            clock: Some(ClockReading { boot: "boot-1".into(), milliseconds: 1_000 }),
        };
        self.may(GAS, from, &Act::StartHold(&record(), &start)).unwrap();
        self.write(from, GAS, &record(), &start);
        let seconds = u64::try_from(at(to).seconds_since(&at(from))).unwrap();
        let end = HoldEnded {
            attempt,
            step: step.into(),
            role: Role::GasTechnician,
            origin: direct(),
            worked_at: at(to),
            clock: Some(ClockReading {
                boot: "boot-1".into(),
                milliseconds: 1_000 + seconds * 1000,
            }),
        };
        self.may(GAS, to, &Act::EndHold(&record(), &end)).unwrap();
        self.write(to, GAS, &record(), &end);
    }

    /// Steps 0.1 to 1.2: everything before pressure.
    pub(crate) fn before(&mut self, attempt: u32, when: &str) {
        self.answer(attempt, "prerequisites", Answer::Confirmed {}, when);
        let helium = Answer::Chosen { option: "helium".into() };
        self.answer(attempt, "gas", helium, when);
        for (step, text) in
            [("volume", "12.4 L"), ("volume-doubt", "1 %"), ("test-pressure", "110 bar")]
        {
            self.answer(attempt, step, self.reading(step, text), when);
        }
        self.table(attempt, "joints", "in-order", when);
        self.photo(attempt, "joints-photo", when);
    }

    pub(crate) fn table(&mut self, attempt: u32, step: &str, others: &str, when: &str) {
        let answer = Answer::Tabulated { others: others.into(), count: 18, rows: Vec::new() };
        self.answer(attempt, step, answer, when);
    }

    pub(crate) fn photo(&mut self, attempt: u32, step: &str, when: &str) {
        let photo = Digest::of(step.as_bytes());
        let event = self.given(attempt, step, Answer::Photographed { photo }, when);
        self.may(GAS, when, &Act::Answer(&record(), &event)).unwrap();
        let bytes = event.to_bytes().unwrap();
        let mut draft = self.draft(when, GAS, (AnswerGiven::KIND, 1), &record(), bytes);
        draft.attachments.push(AttachmentRef { hash: photo, length: step.len() as u64 });
        self.seal(draft, None);
    }

    /// Steps 2.1 to 5.2, begun two and a half hours before the hold.
    pub(crate) fn raise(&mut self, attempt: u32, sniff: &str, times: &[&str; 7]) {
        for (index, (stage, text)) in
            [("5", "5.0"), ("25", "27.5"), ("50", "55.0"), ("100", "110.0")].iter().enumerate()
        {
            let step = format!("raise-{stage}");
            let answer = self.reading(&step, text);
            self.answer(attempt, &step, answer, times[index]);
            self.hold(attempt, &format!("{step}-wait"), times[index], times[index + 1]);
            let check = format!("{step}-check");
            self.answer(attempt, &check, Answer::Confirmed {}, times[index + 1]);
        }
        self.table(attempt, "sniff", sniff, times[4]);
        self.answer(attempt, "isolate", Answer::Confirmed {}, times[4]);
        self.hold(attempt, "stabilise", times[4], times[6]);
        let drift = self.reading("stabilise-drift", "0.3 K");
        self.answer(attempt, "stabilise-drift", drift, times[6]);
    }

    /// Steps 6.1 to 8.3.
    pub(crate) fn hold_readings(&mut self, attempt: u32, readings: &Readings) {
        let [from, to] = readings.hold;
        let steps = ["gauge", "temperature", "barometer"];
        for (step, text) in steps.iter().zip(readings.start) {
            let step = format!("start-{step}");
            let answer = self.reading(&step, text);
            self.answer(attempt, &step, answer, from);
        }
        self.photo(attempt, "start-photo", from);
        self.hold(attempt, "decay-hold", from, to);
        for (step, text) in steps.iter().zip(readings.end) {
            let step = format!("end-{step}");
            let answer = match text {
                Some(text) => self.reading(&step, text),
                None => Answer::Missing { reason: "not read".into() },
            };
            self.answer(attempt, &step, answer, to);
        }
    }

    /// A whole first attempt with the readings given, finished by the performer.
    pub(crate) fn whole_attempt(&mut self, readings: &Readings) {
        self.whole_attempt_assisted(readings, Vec::new());
    }

    pub(crate) fn whole_attempt_assisted(&mut self, readings: &Readings, by: Vec<String>) {
        self.start_assisted(1, "prerequisites", "2026-08-25T15:50:00-04:00", by);
        self.before(1, "2026-08-25T16:05:00-04:00");
        self.raise(1, readings.sniff, &EVENING);
        self.hold_readings(1, readings);
        self.finish(1, readings.hold[1]);
    }

    pub(crate) fn finish(&mut self, attempt: u32, when: &str) {
        let event = AttemptFinished { attempt, role: Role::GasTechnician, worked_at: at(when) };
        self.may(GAS, when, &Act::Finish(&record(), &event)).unwrap();
        self.sign(when, GAS, &record(), &event, (13, Role::GasTechnician));
    }

    /// Judges and enters the verdict.
    pub(crate) fn verdict(&mut self, attempt: u32, when: &str) -> (EntryId, Judgement) {
        let judgement = self.judged(attempt);
        let event = VerdictReached {
            attempt,
            verdict: judgement.verdict,
            reason: judgement.reason.clone(),
            criteria: self.record().criteria,
            limits: judgement.limits.clone(),
            sheets: judgement.sheets.clone(),
            site: judgement.site,
            design: judgement.design.clone(),
            inputs: judgement.inputs.clone(),
        };
        (self.write(when, "", &record(), &event), judgement)
    }

    pub(crate) fn witness(&mut self, attempt: u32, when: &str) {
        let event = StepWitnessed {
            attempt,
            step: "witness".into(),
            witnessing: Witnessing::InvitedAbsent {
                invited: WITNESS.into(),
                invited_at: at("2026-08-24T12:00:00-04:00"),
                evidence: "e-mail of 24 Aug 2026, 12:00".into(),
            },
            role: Role::Supervisor,
            worked_at: at(when),
        };
        self.may(SUPERVISOR, when, &Act::Witness(&record(), &event)).unwrap();
        self.sign(when, SUPERVISOR, &record(), &event, (12, Role::Supervisor));
    }

    pub(crate) fn review(
        &self,
        attempt: u32,
        verdict: EntryId,
        decision: Decision,
        reason: Option<&str>,
    ) -> RecordReviewed {
        RecordReviewed {
            attempt,
            verdict,
            decision,
            reason: reason.map(str::to_owned),
            role: Role::Supervisor,
        }
    }

    pub(crate) fn accept(&mut self, attempt: u32, verdict: EntryId, when: &str) -> EntryId {
        let event = self.review(attempt, verdict, Decision::Accept, None);
        self.may(SUPERVISOR, when, &Act::Review(&record(), &event)).unwrap();
        self.sign(when, SUPERVISOR, &record(), &event, (12, Role::Supervisor))
    }
}

/// Times of the stages of the evening of 25 August.
pub(crate) const EVENING: [&str; 7] = [
    "2026-08-25T16:10:00-04:00",
    "2026-08-25T16:20:00-04:00",
    "2026-08-25T16:30:00-04:00",
    "2026-08-25T16:40:00-04:00",
    "2026-08-25T16:50:00-04:00",
    "2026-08-25T17:00:00-04:00",
    "2026-08-25T17:55:00-04:00",
];

/// Readings that pass: the first worked case of the helium test.
pub(crate) fn passing() -> Readings {
    Readings {
        start: ["110.0 bar", "24.0", "862"],
        end: [Some("104.7"), Some("12.0"), Some("862")],
        hold: ["2026-08-25T18:10:00-04:00", "2026-08-26T06:10:00-04:00"],
        sniff: "none",
    }
}

pub(crate) fn insist(code: &str, reason: &str) -> Vec<Insistence> {
    vec![Insistence { code: code.into(), reason: reason.into() }]
}
