// Written by `cargo xtask codegen` from the program's own types. Don't edit.

/** Whether the laboratory is accredited to ISO/IEC 17025 for this calibration. */
export type Accreditation = "accredited" | "not_accredited" | "not_stated";

export type ActAsArgs = { person: string, role: string, pin: string, };

/** The person who acts. */
export type Acting = { person: string, name: string, role: string, role_title: string, };

/** Which kind of file the site adopts. */
export type Adoptable = "checklist" | "criteria" | "retest_rules" | "dish_design";

/** A survey of facets. */
export type AlignmentView = { position: string, label: string,
/** The step's title, such as "As found". */
state: string, racks: Array<RackView>, facets: Array<Facet>, map_svg: string, counts: FacetCounts, limit: string, findings: Array<SheetFinding>, sheet: SheetView | null,
/** Why there is no sheet, where the calculation could not be done with what is entered. */
sheet_why_not: string, };

/** An answer to the question, with exactly what it records. */
export type AnswerChoice = { label: string,
/** What is sent as the answer to the step. */
text: string,
/** True when it takes a reason. */
insist: boolean, };

/** An answer to one step of the open attempt. */
export type AnswerStep = {
/** The record. */
record: string,
/** The step's id. */
step: string,
/** The answer. */
typed: Typed,
/** The instrument's id, where the step asks for one. */
instrument?: string | null,
/** Claimed time of work; the clock's when left out. */
worked_at?: string,
/** The paper that it is typed in from. */
paper?: PaperForm | null,
/** The reason for insisting on a questioned answer. */
insist?: string | null, };

/** What a step asks for. */
export type Ask = { "kind": "confirm", } | { "kind": "reading", quantity: string, unit: string, units: Array<string>, instrument_role: string | null, instruments: Array<InstrumentChoice>, } | { "kind": "choice", options: Array<Option>, } | { "kind": "photo", shows: string, } | { "kind": "hold", at_least: string, at_least_seconds: number, } | { "kind": "table", rows: Array<string>, options: Array<Option>, good: string, instruments: Array<InstrumentChoice>, } | { "kind": "survey", columns: Array<Column>, rows: number, instrument_role: string | null, instruments: Array<InstrumentChoice>, } | { "kind": "series", channels: Array<Channel>, } | { "kind": "calculation", name: string, title: string, } | { "kind": "witness", roles: Array<string>, } | { "kind": "signature", };

/** The latest attempt. */
export type AttemptView = { number: number, state: string, state_word: string, started: Moment, by: string,
/** The permit's number; may be empty. */
permit: string,
/** Names of those who help. */
assisted_by: Array<string>, flags: Array<Flag>, };

export type CalculateArgs = { name: string,
/** The calculation's input, as its schema says. */
input: unknown, };

/** What came of running a calculation by hand. */
export type Calculated = { "came": "sheet",
/** The sheet. */
sheet: SheetView, } | { "came": "refused",
/** Path of the field, as `end.temperature`; empty when the whole input is meant. */
field: string,
/** What is wrong. */
sentence: string,
/** What to do. */
next_step: string, };

export type CalculationArgs = { name: string, };

/** A calculation with its form. */
export type CalculationForm = { name: string, title: string, purpose: string, version: number,
/** The title of its topic. */
topic: string, fields: Array<FormField>, examples: Array<FormExample>, };

/** One calculation. */
export type CalculationLine = { name: string, title: string, purpose: string, };

/** The input of a record's calculation, as its steps gave it. */
export type CalculationOfStep = {
/** The calculation. */
name: string, input: unknown, from: CameFrom, };

/** Every calculation, topic by topic. */
export type CalculationsView = { topics: Array<TopicView>, };

/** Where the input of a calculation came from. */
export type CameFrom = { record: string, step: string, position: string,
/** The record's title. */
title: string,
/** "PC-04, leak, attempt 3, step 22". */
words: string,
/** What must be known about the input; empty when it is the one that was judged. */
note: string, };

/** A chain. */
export type ChainView = { chain: string, installation: string, entries: number, last: Moment,
/** True for the chain that this installation writes. */
this: boolean, };

/** A channel of a series. */
export type Channel = { id: string, title: string, unit: string, instruments: Array<InstrumentChoice>, };

/** A column of a survey. */
export type Column = { id: string, title: string, unit: string, };

/** One component of an instrument's uncertainty. */
export type Component = {
/** What it is: `scale` (common to all readings of one instrument), `repeatability`. */
name: string,
/** Its size with unit, without sign, such as `0.25 bar`. */
value: string,
/** How the size is meant. */
distribution: Distribution,
/** Where the size comes from, such as "certificate K-2291, 0.10 % of full scale". */
source: string, };

/** The same value in another unit, or above vacuum. */
export type Conversion = { label: string, value: string, };

/** What the reviewer decides. */
export type Decision = "accept" | "reject";

/** A dish. */
export type DishView = { position: string, label: string, dish_type: string,
/** The face, large cut, with its targets. */
face_svg: string,
/** How many proofs do not stand. */
owes: number, headline: string, proofs: Array<Proof>, serials: Array<Serial>,
/** Open findings, the gravest first. */
findings: Array<FindingView>,
/** What happened, the latest first. */
history: Array<HistoryItem>, locks: LocksShort, knowledge: Knowledge, };

/** How a stated uncertainty is meant. */
export type Distribution = "rectangular" | "expanded_k2" | "standard";

/** An answer that says nothing but that it was done. */
export type Done = Record<string, never>;

/** A contribution to the uncertainty. */
export type DoubtView = { source: string, statement: string, contribution: string, share: string, };

export type DraftArgs = { name: string, };

export type DraftKeepArgs = { name: string, text: string, };

/** What was typed and not yet entered. */
export type DraftText = { text: string | null, };

/** What everyone on the site needs to know before anything happens. */
export type Emergency = {
/** Whom to call, as it is dialled. */
number: string,
/** Where people gather, who comes, how the rescue goes. */
rescue_plan: string, };

/** The chains known here. */
export type ExchangeView = { chains: Array<ChainView>, sentence: string, knowledge: Knowledge, };

/** A facet. */
export type Facet = { facet: string, rack: string, state: FacetState,
/** Milliradian to the right; empty when not measured. */
x: string,
/** Milliradian up; empty when not measured. */
y: string, out: boolean, };

/** How many facets are what. */
export type FacetCounts = { measured: number, of: number, out: number, unmeasured: number, };

/** What is known of a facet. */
export type FacetState = "measured" | "within" | "not_measured" | "masked";

/** Why the text is no reading yet. */
export type Fault = { code: string, sentence: string, next_step: string,
/** Texts of which one was meant, where the text can be read in two ways. */
readings: Array<string>, };

/** A file's bytes. */
export type FileBytes = { file_name: string, base64: string, };

/** What the file does not say and a person must. */
export type FileQuestion = {
/** Under which the answer is given. */
id: string, title: string, sentence: string, choices: Array<Option>, };

/** An open finding. */
export type FindingView = { finding: string, category: "A" | "B" | "C", text: string, place: string, raised: string, };

/** Something that a reader must know. */
export type Flag = { code: string, text: string, };

/** An input that ships with the calculation; its numbers are invented. */
export type FormExample = { title: string, input: unknown, };

/** One field, or a part with fields of its own. */
export type FormField = {
/** Its name in the input. */
name: string,
/** Its name in words. */
label: string,
/** What belongs in it. */
help: string, kind: FormKind, };

/** What a field takes. */
export type FormKind = { "kind": "text",
/** A text that it would take; may be empty. */
example: string, } | { "kind": "yes_no", } | { "kind": "choice", options: Array<FormOption>, } | { "kind": "group", fields: Array<FormField>, } | { "kind": "texts",
/** A text that it would take; may be empty. */
example: string, } | { "kind": "numbered", fields: Array<FormField>, } | { "kind": "named",
/** A text that it would take; may be empty. */
example: string, } | { "kind": "rows", fields: Array<FormField>,
/** Whether it can be stated that there are none. */
none: boolean, };

/** One of the words of a choice. */
export type FormOption = { value: string, label: string, help: string, };

/** Something given to a step. */
export type GivenView = { entry: string,
/** "T1-0371". */
name: string,
/** As typed: "110.2 bar(g)". */
text: string, by: string, at: Moment, instrument: string,
/** "direct", "transcribed from form F-0017", "corrected". */
how: string, flags: Array<Flag>,
/** Hash of the picture. */
photo: string | null,
/** Why it was corrected or insisted on; may be empty. */
reason: string, };

/** One thing that happened. */
export type HistoryItem = { at: Moment, text: string, record: string | null, };

/** A jump of the wall clock during a hold. */
export type HoldCut = {
/** Seconds after the start. */
after_seconds: number,
/** "clocks jump 00:00 to 01:00". */
label: string, };

/** A timed wait. */
export type HoldView = { started: Moment, by: string, ended: Moment | null, elapsed_seconds: number, required_seconds: number,
/** When the required time is over by the wall clock. */
opens: Moment,
/** True when a clock that nobody sets measured or measures it. */
by_clock: boolean,
/** What the wall clock did meanwhile; empty when it ran through. */
jumps: string,
/** Where the wall clock jumps before the required time is over. */
cut: HoldCut | null, };

/** Time series of the open attempt, from files of loggers and meters. */
export type ImportSeries = {
/** The record. */
record: string,
/** The step's id. */
step: string,
/** The files. */
files: Array<LoggerFile>,
/** Instruments of single channels, where they are others than their file's. */
instruments?: { [key in string]: string },
/** Claimed time of work; the clock's when left out. */
worked_at?: string,
/** Why it is imported again, where the step has series already. */
reason?: string | null,
/** The reason for insisting on a questioned import. */
insist?: string | null, };

/** An input as typed. */
export type InputView = { meaning: string, typed: string, };

/** A calibration certificate was entered. */
export type InstrumentCalibrated = {
/** Which instrument. */
instrument: string,
/** Day of calibration. */
calibrated: string,
/** Last day on which it counts as in date. */
due: string,
/** Who calibrated. */
laboratory: string,
/** Their accreditation. */
accreditation: Accreditation,
/** Number of the certificate. */
certificate: string,
/** The certificate's file, attached to the same entry. */
file?: string,
/** What was found before any adjustment. */
as_found: string,
/** What was left. */
as_left: string,
/** The components of the uncertainty that the certificate or the maker states. */
components: Array<Component>, };

/** An instrument that fits a step. */
export type InstrumentChoice = { instrument: string, description: string, unit: string,
/** "in date, due 15 Jan 2027". */
calibration: string, overdue: boolean, };

/** An instrument comes into use on the site. */
export type InstrumentRegistered = {
/** The id on its label, such as `PG-03`. */
instrument: string,
/** What it is, as checklists ask for it: `gauge`, `thermometer`, `barometer`, `tracer-detector`. */
kind: string,
/** In words. */
description: string,
/** The maker's serial number. */
maker_serial: string,
/** Lower end of the range, with unit. */
range_low: string,
/** Upper end of the range, with unit. */
range_high: string,
/** The smallest step that it shows, with unit. */
resolution: string,
/** The unit as displayed, such as `bar(g)`. */
unit: string,
/** Who owns it: the site, or the hire firm. */
owner: string, };

/** How old the knowledge behind a screen is, and from whom nothing was heard. */
export type Knowledge = { title: string, oldest: string, stale: boolean, };

export type LedgerArgs = {
/** Entries with a lower number than this one; none for the latest. */
before?: number | null, };

/** An entry in words. */
export type LedgerEntry = { id: string,
/** "T1-0393". */
name: string, chain: string, number: number, kind: string, title: string, by: string, at: Moment, subject: string, target: Target | null, };

/** A page of the ledger. */
export type LedgerView = { entries: Array<LedgerEntry>,
/** Id of the last entry. */
head: string, count: number, knowledge: Knowledge, };

/** One limit. */
export type LimitView = { title: string, value: string, found: string, verdict: "pass" | "fail" | "not_judged", reason: string, source: string, };

/** An adopted checklist that records a lockout. */
export type LockChecklist = { checklist: string, criteria: string, title: string, };

/** A dish that can be locked out. */
export type LockDish = { position: string, label: string, };

/** A person with a lock. */
export type LockLine = { position: string, person: string, lock: string, since: Moment | null, text: string, };

/** A lockout record. */
export type LockRecord = { position: string, record: string, title: string, state_word: string, at: Moment, sky_svg: string | null,
/** What the sun does over the job, in a sentence; may be empty. */
window: string, };

/** Locks of one dish, in short. */
export type LocksShort = { known: number, caption: string, };

/** The board. */
export type LocksView = { title: string, caption: string,
/** What this version does not keep. */
notice: string, people: Array<LockLine>, records: Array<LockRecord>,
/** Adopted checklists that record a lockout; a record of one can be opened on any dish. */
checklists: Array<LockChecklist>, dishes: Array<LockDish>, cautions: Array<string>, emergency: string, rescue: string, knowledge: Knowledge, };

/** A file of a logger or meter. */
export type LoggerFile = {
/** Its name. */
name: string,
/** Its bytes. */
file: Upload,
/** The instrument that wrote it. */
instrument: string,
/** The form, `logger` or `meter`; the file's own separators decide when left out. */
form?: string | null,
/** Offset of its times from UTC, such as `-04:00`. */
zone?: string | null,
/** Whether a time names the `start` or the `end` of its interval. */
label?: string | null,
/** Answers to other questions about the file, by question. */
answers?: { [key in string]: string }, };

/** One end of a hold. */
export type MarkHold = {
/** The record. */
record: string,
/** The step's id. */
step: string,
/** Claimed time of work; the clock's when left out. */
worked_at?: string,
/** The paper that it is typed in from. */
paper?: PaperForm | null, };

/** What the rules let the acting person do now. */
export type May = { start: boolean, finish: boolean, judge: boolean, review: boolean, interrupt: boolean,
/** What stands in the way of the next act; empty when nothing does. */
why_not: string,
/** What stands in the way of noting the weather; empty when nothing does. */
why_not_weather: string, };

/** One row of a measured table, as typed. */
export type MeasuredRow = {
/** The row, such as facet `R09/F14`. */
row: string,
/** What is said about it. */
state: "measured" | "within" | "not_measured" | "masked",
/** Values in the order of the columns; none unless it was measured. */
typed?: Array<string>,
/** What was seen. */
note?: string | null, };

/** An input that is needed and was not given. */
export type MissingView = {
/** Path of the field, as `start.temperature`. */
field: string, meaning: string, };

/** A claimed time, shown in the site's zone. */
export type Moment = {
/** RFC 3339 with offset. */
iso: string,
/** "Fri 28 Aug". */
day: string,
/** "06:21". */
clock: string, };

/** A line of the morning list. */
export type MorningItem = { position: string, subject: string, reason: string, verb: string,
/** The face, small cut. */
face_svg: string, target: Target,
/** True for what only waits for a signature. */
ready: boolean, };

/** A line about something that is not plain. */
export type NotPlain = { text: string, detail: string, };

/** A command that takes nothing. */
export type Nothing = Record<string, never>;

/** One weather quantity as observed. */
export type Observation = {
/** What, as the checklist's weather window names it, such as `wind-gust`. */
quantity: string,
/** As typed, with unit; or a word such as `none`. */
typed: string,
/** The instrument, where there is one. */
instrument?: string, };

/** The weather as somebody saw it. */
export type Observed = {
/** As typed: "7.3 m/s". */
text: string,
/** May be empty. */
instrument: string, by: string, at: Moment, };

/** An option of a choice or of a table's line. */
export type Option = { id: string, text: string, };

/** What holds for the rows of a table that nobody names. */
export type OthersAsked = "within" | "not_measured";

/** A qualification on paper: licence, ticket, briefing, induction. */
export type Paper = {
/** What it is, as checklists name it, such as `hydrogen-ticket`. */
kind: string,
/** Its number, as printed. */
number: string,
/** Day of issue. */
issued: string,
/** Last day on which it is good, where it expires. */
expires?: string,
/** The scan, attached to the same entry. */
scan?: string, };

/** Where a late entry comes from: a numbered paper form. */
export type PaperForm = {
/** The form's number. */
form: string,
/** Photo of the page. */
page: Upload,
/** Who did the work. */
performer: string,
/** In which role. */
performer_role: Role, };

/** A paper was shown later, or renewed. */
export type PaperRecorded = {
/** Whose. */
person: string,
/** The paper. */
paper: Paper, };

/** Everyone on the site's list. */
export type PeopleView = { people: Array<PersonView>, };

/** A person joins the site's list. */
export type PersonEnrolled = {
/** Opaque id; never a name, never used again for somebody else. */
person: string,
/** The name as the person writes it. */
name: string,
/** Who employs them. */
employer: string,
/** Roles, at least one. */
roles: Array<RoleHeld>,
/** Papers shown on enrolment. */
papers?: Array<Paper>, };

/** A person to choose. */
export type PersonView = { person: string, name: string, employer: string,
/** Roles held today. */
roles: Array<RoleChoice>, has_pin: boolean,
/** "hydrogen ticket ran out 5 Sep 2026" and the like. */
notes: Array<string>, };

export type PhotoArgs = { hash: string, };

/** A picture's bytes. */
export type PhotoBytes = { base64: string, media: "image/jpeg" | "image/png", };

/** A picture of what was read. */
export type Picture = { title: string, svg: string, };

/** Where one dish stands, from the site's own datum. */
export type PlanPlace = {
/** The dish position. */
position: string,
/** Distance east of the datum, with unit; west is negative. */
east: string,
/** Distance north of the datum, with unit; south is negative. */
north: string, };

export type PositionArgs = {
/** With or without its check letter. */
position: string, };

/** What must stand before the work begins. */
export type Prerequisite = { id: string, kind: string, text: string, };

/** One required proof of a dish. */
export type Proof = { requirement: string,
/** Its short name in the ring. */
title: string, state: ProofState, word: string, reason: string,
/** The record that decides it. */
record: string | null,
/** The adopted checklist that proves it; none when this site has adopted none. */
checklist: string | null,
/** The criteria that this checklist is judged by; none without a checklist. */
criteria: string | null,
/** What can be done now: "Start", "Go on", "Review". */
verb: string | null, };

/** Where a proof stands. Whatever is not `stands` or `not_required` counts as owed. */
export type ProofState = "stands" | "under_review" | "voided" | "lapsed" | "undecided" | "owed" | "owed_waiting" | "not_required";

/** How much an open item blocks. */
export type PunchCategory = "a" | "b" | "c";

/** A question about a value that is probably a slip. */
export type Question = { code: string, title: string, sentence: string, answers: Array<AnswerChoice>, };

/** A rack. */
export type RackView = { id: string, moved: boolean, sentence: string, };

/** An open item, raised. */
export type RaiseFinding = {
/** The dish. */
position: string,
/** What is wrong. */
text: string,
/** Where on the dish. */
place?: string | null,
/** How much it blocks. */
category: PunchCategory,
/** The record in which it came up. */
record?: string | null,
/** Photos. */
photos?: Array<Upload>, };

export type RecordArgs = { record: string, };

/** A record with its latest attempt. */
export type RecordView = { record: string, position: string, title: string, requirement: string, checklist: string, revision: string, purpose: string, cautions: Array<string>, prerequisites: Array<Prerequisite>, weather: Array<WeatherLimit>, attempt: AttemptView | null,
/** How many attempts there are. */
attempts: number, may: May,
/** The first open step; empty when none is open. */
current: string, steps: Array<StepView>, verdict: VerdictView | null, reviews: Array<ReviewGiven>,
/** What must be known about this kind of record; may be empty. */
notice: string, knowledge: Knowledge, };

/** A line that was not used. */
export type Rejected = { line: number, reason: string, };

export type ReportArgs = { report: string, };

/** An issued report. */
export type ReportFile = { report: string, file_name: string, issued: Moment, fields: Array<SignatureField>, };

export type ReportSaveArgs = { report: string, path: string, };

export type ReportSignArgs = { position: string, report: string, field: string,
/** The PIN of the person who acts. */
pin: string, };

/** Sign-off of a dish. */
export type ReportView = { position: string,
/** Issued reports, the latest first. */
files: Array<ReportFile>,
/** What a signer must know that is not plain. */
not_plain: Array<NotPlain>,
/** What was entered since the latest issue and bears on the dish. */
since: Array<Since>, proofs: Array<Proof>, face_svg: string, knowledge: Knowledge, default_save_path: string, };

/** Everything that can be asked of an open logbook. */
export type Request = { "do": "enrol_person" } & PersonEnrolled | { "do": "record_paper" } & PaperRecorded | { "do": "give_pin",
/** Whose. */
person: string,
/** The PIN, typed by that person. */
pin: string, } | { "do": "act_as",
/** Who. */
person: string,
/** In which role. */
role: Role,
/** Their PIN. */
pin: string, } | { "do": "change_person", } | { "do": "register_instrument" } & InstrumentRegistered | { "do": "record_calibration" } & InstrumentCalibrated | { "do": "register_position",
/** Its code. */
position: string,
/** Its cluster. */
cluster: string,
/** The type of dish. */
dish_type: string,
/** Named lists, e.g. `joints`. */
lists?: { [key in string]: Array<string> }, } | { "do": "fit_serial",
/** The dish. */
position: string,
/** The slot. */
slot: string,
/** The serial. */
serial: string,
/** Why, where another comes off. */
reason?: string | null,
/** Claimed time of work. */
worked_at?: string, } | { "do": "describe_site" } & SiteDescribed | { "do": "adopt",
/** Which kind. */
what: Adoptable,
/** The file's text. */
content: string, } | { "do": "open_record",
/** The dish, with or without check letter. */
position: string,
/** The checklist's id; its newest adopted revision is taken. */
checklist: string,
/** The criteria's id; their newest adopted revision is taken. */
criteria: string, } | { "do": "start_attempt",
/** The record. */
record: string,
/** The first step that is done anew; the checklist's first when left out. */
from_step?: string | null,
/** Why there is another attempt. */
reason?: string | null,
/** People who help. */
assisted_by?: Array<string>,
/** Permit number. */
permit?: string | null, } | { "do": "note_weather",
/** The record. */
record: string,
/** What was seen. */
observations: Array<Observation>, } | { "do": "interrupt",
/** The record. */
record: string,
/** Why. */
reason: string, } | { "do": "answer" } & AnswerStep | { "do": "correct",
/** The answer as it should be. */
answer: AnswerStep,
/** Why. */
reason: string, } | { "do": "survey" } & TakeSurvey | { "do": "import_series" } & ImportSeries | { "do": "start_hold" } & MarkHold | { "do": "end_hold" } & MarkHold | { "do": "confirm_transcription",
/** The record. */
record: string, } | { "do": "deal_with_witness",
/** The record. */
record: string,
/** The step's id. */
step: string,
/** What came of it. */
witness: Witness, } | { "do": "finish",
/** The record. */
record: string, } | { "do": "judge",
/** The record. */
record: string, } | { "do": "review",
/** The record. */
record: string,
/** Accept or reject. */
decision: Decision,
/** Why; needed for a rejection. */
reason?: string | null, } | { "do": "raise_finding" } & RaiseFinding | { "do": "close_finding",
/** The finding. */
finding: string,
/** Who did the work. */
done_by: string,
/** What was done. */
done: string,
/** Photos. */
photos?: Array<Upload>, } | { "do": "keep_draft",
/** Which form and field. */
name: string,
/** What was typed. */
text: string, } | { "do": "draft",
/** Which form and field. */
name: string, };

/** What came of a request. */
export type Response = { "done": "entered",
/** Its id. */
entry: string,
/** What it is about: the new record, finding or person, where there is one. */
subject: string, } | { "done": "judged",
/** Its id. */
entry: string,
/** pass, fail or not_judged. */
verdict: "pass" | "fail" | "not_judged",
/** Why. */
reason: string, } | { "done": "acting",
/** The person. */
person: string,
/** The role, in words. */
role: string, } | { "done": "draft",
/** What was typed; absent when nothing was. */
text: string | null, };

/** A result. */
export type ResultView = { meaning: string, value: string, unit: string,
/** Its standard uncertainty in the same unit; empty where none is known. */
doubt: string, };

/** A review. */
export type ReviewGiven = { decision: string, by: string, at: Moment, reason: string, };

/** The capacity in which a person acts. */
export type Role = "commissioning_lead" | "supervisor" | "mechanical_technician" | "gas_technician" | "electrician" | "optics_technician" | "controls_technician" | "performance_engineer" | "owners_witness" | "utility_witness" | "auditor" | "safety_officer" | "trainee";

/** A role to choose. */
export type RoleChoice = { role: string, title: string, };

/** A role with the days on which the person holds it. */
export type RoleHeld = {
/** Which role. */
role: Role,
/** First day. */
from: string,
/** Last day, where there is one. */
until?: string, };

/** Where a report was saved. */
export type Saved = { path: string, };

/** The screens that a line can lead to. */
export type Screen = "dish" | "record" | "review" | "signoff";

/** A serial that is fitted. */
export type Serial = { slot: string, serial: string, since: string, };

/** One file. */
export type SeriesFilePreview = { name: string, form: string,
/** The channels of the step that it has, by id. */
channels: Array<string>, rows: number, used: number, rejected: Array<Rejected>, decisions: Array<string>, first: Array<Array<string>>, last: Array<Array<string>>, zone: string, question: FileQuestion | null, };

/** Files of loggers and meters, read and not entered. */
export type SeriesPreview = { files: Array<SeriesFilePreview>, pictures: Array<Picture>, warnings: Array<string>, };

export type SeriesReadArgs = { record: string, step: string, files: Array<LoggerFile>, };

/** The session of this front end. */
export type Session = { state: SessionState,
/** Empty while the folder is closed. */
site: string, installation: string, folder: string,
/** True for the played demonstration; every screen's head says so. */
demo: boolean, acting: Acting | null, now: Moment,
/** So many minutes without a touch release the person, never the form. */
idle_minutes: number, };

/** Whether the data folder is open. */
export type SessionState = "closed" | "open";

/** A figure of a sheet. */
export type SheetDrawing = { title: string, svg: string, };

/** What a calculation noticed about a place. */
export type SheetFinding = { code: string, place: string, sentence: string, };

/** What a sheet says. */
export type SheetMark = "within" | "outside" | "not_judged" | "computed";

/** A result that is a list. */
export type SheetTable = { name: string, title: string, columns: Array<string>, rows: Array<Array<string>>, };

/** A calculation sheet. */
export type SheetView = {
/** The step that asked for it; empty for a calculation outside a record. */
step: string, title: string, mark: SheetMark, reason: string,
/** What is needed and was not given. */
missing: Array<MissingView>,
/** The inputs as typed. */
inputs: Array<InputView>, results: Array<ResultView>, working: Array<WorkingLine>, doubt: Array<DoubtView>,
/** The combined doubt of the judged result, in words; empty where there is none. */
combined: string, rule: string, validity: string, sources: Array<string>, flags: Array<Flag>,
/** Its figures, what is looked at first coming first. */
figures: Array<SheetDrawing>, tables: Array<SheetTable>, findings: Array<SheetFinding>, };

/** A place for a signature. */
export type SignatureField = { name: string, title: string, role: string, signed_by: string | null, at: Moment | null, may_sign: boolean,
/** Empty when the acting person may sign it now. */
why_not: string, };

/** Something entered since the report was issued. */
export type Since = { at: Moment, text: string, entry: string,
/** "T1-0371". */
name: string, };

/** The site was described. The latest description counts; earlier ones stay. */
export type SiteDescribed = {
/** Latitude with unit, north positive, such as `-23.10 °`. */
latitude: string,
/** Longitude with unit, east positive. */
longitude: string,
/** Altitude above sea level with unit. */
altitude: string,
/** Name of the time zone in the IANA database, such as `America/Santiago`. */
time_zone: string,
/** How the dishes stand. */
plan: Array<PlanPlace>,
/** In an emergency. */
emergency: Emergency, };

export type StepArgs = { record: string, step: string, };

/** Where a step stands. */
export type StepState = "open" | "done" | "missing" | "not_applicable" | "waiting";

/** A step with what was given to it. */
export type StepView = { id: string, number: string, title: string, text: string, caution: string, optional: boolean, state: StepState, ask: Ask,
/** Everything given, the last one counting. */
given: Array<GivenView>, hold: HoldView | null,
/** Of a calculation: its sheet, of the verdict or as it would be with what is entered so far. */
sheet: SheetView | null,
/** Why there is no sheet, where the calculation could not be done with what is entered. */
sheet_why_not: string,
/** What was typed and not yet entered. */
draft: string, };

/** The sun over one local day. */
export type SunDay = { date: string, now: Moment,
/** Now as a part of the local day, 0 to 1. */
now_fraction: number, sunrise: SunEdge | null, sunset: SunEdge | null,
/** Part of the local day, and degrees above the horizon. */
heights: Array<[number, number]>,
/** Solar noon by the local clock. */
noon: string, };

export type SunDayArgs = {
/** RFC 3339; none for now. */
at?: string | null, };

/** A moment of the day line. */
export type SunEdge = { fraction: number, clock: string, };

/** A table of facets, read and not entered. */
export type SurveyPreview = { rows: number, used: number, rejected: Array<Rejected>, decisions: Array<string>, first: Array<Array<string>>, last: Array<Array<string>>, question: FileQuestion | null, };

export type SurveyReadArgs = { record: string, step: string, file: Upload,
/** Answers to earlier questions about the file. */
answers?: { [key in string]: string }, };

/** A measured table of the open attempt: from a file, or typed row by row. */
export type TakeSurvey = {
/** The record. */
record: string,
/** The step's id. */
step: string,
/** The file, where the values come from one; its bytes stay with the entry. */
file?: Upload | null,
/** The file's name. */
name?: string | null,
/** Answers to the questions about the file, by question. */
answers?: { [key in string]: string },
/** Rows typed; none with a file. */
rows?: Array<MeasuredRow>,
/** What holds for rows that are not named. */
others?: OthersAsked,
/** Why, or how it was seen. */
others_reason?: string | null,
/** The instrument's id. */
instrument?: string | null,
/** Claimed time of work; the clock's when left out. */
worked_at?: string,
/** Why it is taken again, where the step has a table already. */
reason?: string | null,
/** The reason for insisting on a questioned table. */
insist?: string | null, };

/** Where a line of a list leads. */
export type Target = { screen: Screen, position?: string, record?: string, };

/** The calculations of one topic. */
export type TopicView = { title: string, list: Array<CalculationLine>, };

/** What was answered to a step, as typed. */
export type Typed = { "confirm": Record<symbol, never> } | { "read": string } | { "choose": string } | { "photo": Upload } | { "table": {
/** The option for all lines not named. */
others: string,
/** Lines counted at the dish. */
count: number,
/** Lines that differ. */
rows?: Array<TypedRow>, } } | { "missing": string } | { "not_applicable": string };

/** One line of a table that differs from the others. */
export type TypedRow = {
/** The line, e.g. joint `G14`. */
row: string,
/** The option chosen for it. */
choice: string,
/** A reading that belongs to it, with unit. */
reading?: string | null,
/** What was seen. */
note?: string | null, };

export type UnlockArgs = { passphrase: string, };

/** A file handed over with a request, in base64. */
export type Upload = {
/** The bytes, in base64. */
base64: string, };

/** A verdict over all limits of a checklist. */
export type VerdictView = { verdict: "pass" | "fail" | "not_judged", headline: string, reason: string, limits: Array<LimitView>, sheets: Array<SheetView>,
/** True when something that bears on it was entered since: it does not count. */
stale: boolean, };

/** A limit on the weather. */
export type WeatherLimit = {
/** What is observed, by its id in the checklist. */
quantity: string, title: string, limit: string, action: string,
/** Everything noted of it during the latest attempt, the last one newest. */
observed: Array<Observed>, };

export type WeighArgs = { record: string, step: string,
/** What stands in the field, exactly. */
text: string,
/** The unit chosen beside the field; none for the step's own. */
unit?: string | null, };

/** A text weighed as the reading of a step. The text is kept before this is answered. */
export type Weighed = {
/** What is kept, exactly as typed. */
text_kept: string,
/** The number with its digits in groups; empty while it can't be read. */
shown: string, unit: string, fault: Fault | null, conversions: Array<Conversion>, question: Question | null, };

/** A witness point as dealt with. */
export type Witness = { "present": Record<symbol, never> } | { "invited_absent": {
/** Who was invited. */
invited: string,
/** When the invitation was given. */
invited_at: string,
/** How it can be shown. */
evidence: string, } };

/** A step of the working. */
export type WorkingLine = { symbol: string, meaning: string, formula: string, value: string, unit: string, source: string, };

/** A dish on the plan of the yard. */
export type YardDish = { position: string,
/** With its check letter, as on the dish. */
label: string, phrase: string,
/** The face, medium cut. */
face_svg: string,
/** Metres east of the plan's origin. */
east: number,
/** Metres north of it. */
north: number, };

/** The first screen. */
export type YardView = { site: string, day: string, dishes: Array<YardDish>,
/** What needs deciding first, what can be signed last. */
list: Array<MorningItem>, knowledge: Knowledge, };

/** Every command with what it takes and what it answers. */
export interface Commands {
  /** Which folder is open, who acts, what time it is here. */
  session: { args: Nothing; answer: Session };
  /** Opens the data folder. */
  unlock: { args: UnlockArgs; answer: Session };
  /** Closes the data folder. */
  close: { args: Nothing; answer: Session };
  /** Everyone who may take the tablet. */
  people: { args: Nothing; answer: PeopleView };
  /** Makes a person the one who acts. */
  act_as: { args: ActAsArgs; answer: Session };
  /** Releases the person who acts; the form stays. */
  change_person: { args: Nothing; answer: Session };
  /** The yard and the morning list. */
  yard: { args: Nothing; answer: YardView };
  /** One dish. */
  dish: { args: PositionArgs; answer: DishView };
  /** One record. */
  record: { args: RecordArgs; answer: RecordView };
  /** Keeps what is typed and says what it would be as a reading: one call a keystroke. */
  weigh: { args: WeighArgs; answer: Weighed };
  /** Keeps what is typed. */
  draft_keep: { args: DraftKeepArgs; answer: Done };
  /** What was kept. */
  draft: { args: DraftArgs; answer: DraftText };
  /** Everything that enters something. */
  act: { args: Request; answer: Response };
  /** Reads a table of facets; enters nothing. */
  survey_read: { args: SurveyReadArgs; answer: SurveyPreview };
  /** Reads files of loggers and meters; enters nothing. */
  series_read: { args: SeriesReadArgs; answer: SeriesPreview };
  /** The facets of a survey step. */
  alignment: { args: StepArgs; answer: AlignmentView };
  /** Sign-off of a dish. */
  report: { args: PositionArgs; answer: ReportView };
  /** Issues the handover report. */
  report_issue: { args: PositionArgs; answer: ReportView };
  /** Signs a place of it. */
  report_sign: { args: ReportSignArgs; answer: ReportView };
  /** Saves the latest file of a report; a file that exists is never replaced. */
  report_save: { args: ReportSaveArgs; answer: Saved };
  /** The latest file of a report. */
  report_bytes: { args: ReportArgs; answer: FileBytes };
  /** The locks board. */
  locks: { args: Nothing; answer: LocksView };
  /** The sun over one local day. */
  sun_day: { args: SunDayArgs; answer: SunDay };
  /** A page of the ledger, the latest first. */
  ledger: { args: LedgerArgs; answer: LedgerView };
  /** Every chain known here. */
  exchange: { args: Nothing; answer: ExchangeView };
  /** A picture by its hash. */
  photo: { args: PhotoArgs; answer: PhotoBytes };
  /** The calculations that can be run by hand. */
  calculations: { args: Nothing; answer: CalculationsView };
  /** One of them, as a form. */
  calculation: { args: CalculationArgs; answer: CalculationForm };
  /** What the calculation of a record's step is given, and where that came from. */
  calculation_of_step: { args: StepArgs; answer: CalculationOfStep };
  /** Runs one. */
  calculate: { args: CalculateArgs; answer: Calculated };
}

export type Command = keyof Commands;
export type Args<C extends Command> = Commands[C]["args"];
export type Answer<C extends Command> = Commands[C]["answer"];

/** What every command answers when it does not do what was asked. */
export interface Refusal {
  code: string;
  sentence: string;
  next_step: string;
  /** True when the same act goes through with a stated reason. */
  may_insist?: boolean;
}
