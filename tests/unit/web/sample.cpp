#include "sample.hpp"

#include <doctest/doctest.h>

namespace drumwatch {

StationFacts sample_facts() {
    StationFacts facts;
    facts.station = "Saltmarsh Mill, station 2";
    facts.machine = "12 kg drum";
    facts.build = "0.1.0";
    facts.channels = {{"bean", Role::bean, Unit::celsius},
                      {"exhaust", Role::exhaust, Unit::celsius},
                      {"burner", Role::burner, Unit::percent}};
    facts.buses = {"machine"};
    facts.simulated = true;
    facts.speed = 4;
    facts.limiter = "none stated";
    facts.site_card = "Card on the wall beside the door.";
    return facts;
}

namespace {

TargetPtr sample_target() {
    Target target;
    target.name = "Fen Meadow, washed";
    target.version = 2;
    target.status = TargetStatus::approved;
    target.coffee = "Fen Meadow, washed";
    target.charge_kg = 10.2;
    target.points = {{0, 195}, {600, 210}};
    target.moves = {{Control::burner, 76, LevelUnit::percent, {TriggerKind::at_s, 180}},
                    {Control::airflow, 60, LevelUnit::percent, {TriggerKind::bean_c, 190}}};
    return std::make_shared<const Target>(target);
}

void fill_roast(Snapshot& s) {
    RoastView roast;
    roast.id = 12;
    roast.charge = Tick{100'000};
    roast.elapsed_ms = s.tick - roast.charge;
    roast.milestones[static_cast<std::size_t>(Milestone::charge)] = {Tick{100'000}, 195'000,
                                                                     MarkSource::detected};
    roast.milestones[static_cast<std::size_t>(Milestone::yellow)] = {Tick{350'500}, 150'250,
                                                                     MarkSource::mark};
    roast.smoothed_c = 187.38;
    s.roast = roast;
    s.cooling = CoolingView{11, Tick{417'000}, 96.1};
    s.follow = FollowView{186.8, 0.6, 4.0, 0.3, 0.3, 8.0, 1.1, true, false, 0, 25.0};
}

void fill_plan(Snapshot& s) {
    s.moves.push_back({Control::burner,
                       LevelUnit::percent,
                       0,
                       {TriggerKind::at_s, 180},
                       76,
                       180.0,
                       183.2,
                       76,
                       3.2,
                       MoveJudgement::on_time});
    s.moves.push_back({Control::airflow,
                       LevelUnit::percent,
                       1,
                       {TriggerKind::bean_c, 190},
                       60,
                       510.0,
                       {},
                       0,
                       {},
                       MoveJudgement::waiting});
    s.moves.push_back(
        {Control::burner, LevelUnit::percent, -1, {}, 0, {}, 240.5, 70, {}, MoveJudgement::extra});
    s.next_move = NextMoveView{1, 18.0};
    s.forecast = ForecastView{545, 531, 562, 198.0, 1.5, true};
    s.no_forecast = NoForecast::none;
    s.drop = DropView{120.0, 612.0, {}, {}};
    s.fan.push_back({15, -0.2, 1.0});
    s.fan.push_back({30, -0.6, 1.8});
}

void fill_put_aside(Snapshot& s) {
    AlarmView aside;
    aside.rule = AlarmRule::stall;
    aside.state = AlarmState::shelved;
    aside.until = s.tick + 120'000;
    s.alarms.push_back(aside);
    aside.rule = AlarmRule::disk_low;
    aside.state = AlarmState::out_of_service;
    s.alarms.push_back(aside);
    aside.rule = AlarmRule::exhaust_high;
    aside.state = AlarmState::suppressed;
    aside.suppressed_by = SuppressedBy::probe_fault;
    s.alarms.push_back(aside);
    PutAsideNotes notes;
    notes[static_cast<std::size_t>(AlarmRule::stall)] = {"", "a trial roast"};
    notes[static_cast<std::size_t>(AlarmRule::disk_low)] = {"Ines", "the disk is replaced"};
    s.put_aside_notes = std::make_shared<const PutAsideNotes>(notes);
    s.alarm_flood = true;
}

void fill_end(Snapshot& s) {
    VerdictView verdict;
    verdict.verdict.roast = 11;
    verdict.verdict.disposition = Disposition::taste;
    verdict.verdict.reasons.push_back(
        {VerdictRule::move_off, Disposition::taste, 44.8, 10, 0, 0, Control::burner, 76});
    verdict.dropped = Tick{417'000};
    verdict.roast_s = 655;
    s.last_verdict = verdict;
    AlarmView drift{7,
                    AlarmRule::drift,
                    Priority::medium,
                    AlarmState::unacknowledged,
                    false,
                    Tick{571'000},
                    2900,
                    2200,
                    1,
                    -1,
                    {},
                    {},
                    true,
                    true};
    AlarmView hot{8,
                  AlarmRule::bean_high_high,
                  Priority::high,
                  AlarmState::latched_acknowledged,
                  true,
                  Tick{580'000},
                  246'000,
                  245'000,
                  1,
                  -1,
                  {},
                  {},
                  false,
                  false};
    AlarmView quiet;
    quiet.rule = AlarmRule::bus_silent;
    quiet.state = AlarmState::normal;
    s.alarms.push_back(drift);
    s.alarms.push_back(hot);
    s.alarms.push_back(quiet);
    fill_put_aside(s);
    s.prompts.push_back({PromptKind::move_due, 18.0, 1, 60});
    s.sounder = {true, Pattern::medium, false};
}

}  // namespace

Snapshot sample_snapshot(std::uint64_t sequence) {
    Snapshot s;
    s.watch = 3;
    s.sequence = sequence;
    s.tick = Tick{static_cast<std::int64_t>(sequence) * 250};
    s.channels = 3;
    s.channel[0] = {187'400, Quality::good, 0, 8.6};
    s.channel[1] = {999'000, Quality::open_circuit, 5250, {}};
    s.channel[2] = {76'000, Quality::never_read, -1, {}};
    s.target = sample_target();
    s.ready.missing = kMissingTarget;
    fill_roast(s);
    fill_plan(s);
    fill_end(s);
    return s;
}

BoxState sample_box() {
    BoxState box;
    box.utc = WallTime{1'795'603'327'250};  // 2026-11-25T10:42:07.250Z
    box.record_text = "written 1 s ago";
    box.links = {"machine answers late"};
    box.reminders = {{"empty the chaff bin", "batches", 8, 9, true, 0, WallTime{1'700'000'000'000}, "Ada"},
                     {"clean the cyclone", "kg", 400, 120.5, false, 2, {}, ""}};
    box.sounders = {{"horn", "coil", true, "", WallTime{1'700'000'000'000}},
                    {"player", "command", false, "/usr/bin/player is not there", std::nullopt}};
    return box;
}

Published sample_published(std::uint64_t sequence) {
    return {std::make_shared<const Snapshot>(sample_snapshot(sequence)),
            std::make_shared<const BoxState>(sample_box())};
}

namespace {
/// Of a record without a watch; the real thing is held against its schema in tests/reference/alarms.
constexpr const char* kNoAlarms =
    R"({"from_utc":null,"to_utc":null,"watched_s":0,"watched":[],"alarms":0,)"
    R"("raised":{"high":0,"medium":0,"low":0},"rules_on":null,"acknowledged":0,"unacknowledged":0,)"
    R"("figures":[],"days":[],"roasts":[],"floods":[],"rules":[],"reshelved":[],"bad_actors":[]})";
/// Written by hand; the real thing is ProbeDesk::json.
constexpr const char* kProbes =
    R"({"probes":[{"channel":"bean","quality":"good","probe_fault":null,"probe_faults":{"noisy":3},"shows_c":187.4,"reads_c":188.0,)"
    R"("calibration":[{"reads_c":100.6,"is_c":100}],"last_check":{"at":"2026-11-20T08:00:00.000Z",)"
    R"("who":"Ada","method":"boiling_point","reads_c":100.6,"is_c":100,"note":""},"check_due_days":-3,)"
    R"("epoch":{"at":"2026-11-01T08:00:00.000Z","who":"Ada","what":"wiped","note":""}},)"
    R"({"channel":"exhaust","quality":"open_circuit","probe_fault":{"name":"open_circuit",)"
    R"("sentence":"The circuit is open.","look_first":"Look at the plug."},"probe_faults":{"open_circuit":1},"shows_c":null,"reads_c":null,"calibration":[],)"
    R"("last_check":null,"check_due_days":null,"epoch":null}],)"
    R"("site":{"check_every_days":30,"altitude_m":null,"boiling_point_c":null,"largest_correction_c":5}})";
}  // namespace

Api SampleStation::api() {
    Api api;
    api.command = [this](Command command, const std::function<void(CommandAnswer)>& say) {
        {
            const std::lock_guard lock(mutex_);
            commands_.push_back(std::move(command));
        }
        if (!silent) say(answer);
    };
    api.choose_target = [this](const std::string& name, const std::string& who, const std::string& client_id,
                               const std::function<void(CommandAnswer)>& say) {
        {
            const std::lock_guard lock(mutex_);
            choices_.push_back(name + "|" + who + "|" + client_id);
        }
        say(answer);
    };
    api.reminder_done = [](const ReminderDone& done, const std::function<void(CommandAnswer)>& say) {
        say({done.name == "no such" ? 404 : 200, true, "said by " + done.who});
    };
    api.probe_said = [this](ProbeSaid said, const std::function<void(CommandAnswer)>& say) {
        {
            const std::lock_guard lock(mutex_);
            probe_said_.push_back(std::move(said));
        }
        say(answer);
    };
    api.probes = [](const std::function<void(QueryAnswer)>& say) {
        QueryAnswer reply;
        reply.body = kProbes;
        say(reply);
    };
    api.test_sounders = [this](const std::string&, const std::function<void(CommandAnswer)>& say) {
        say(answer);
    };
    api.facts = [this](const FactsGiven& given, const std::function<void(CommandAnswer)>& say) {
        {
            const std::lock_guard lock(mutex_);
            facts_.push_back(given);
        }
        say(answer);
    };
    api.query = [this](const std::string& path, const std::string& query,
                       const std::function<void(QueryAnswer)>& say) {
        {
            const std::lock_guard lock(mutex_);
            queries_.push_back(path + "?" + query);
        }
        QueryAnswer reply;
        if (path == "roasts") {
            reply.body = R"({"roasts":[]})";
        } else if (path == "targets") {
            reply.body = R"({"targets":[]})";
        } else if (path == "alarms/figures") {
            reply.body = kNoAlarms;
        } else if (path == "roasts/17.csv") {
            reply = {200, "text/csv; charset=utf-8", "elapsed_s,bean_c\r\n0,195\r\n", "roast 17\r\n\".csv"};
        } else if (path == "roasts/17" || path == "targets/Fen Meadow, washed") {
            reply.body = "{}";
        } else if (path == "roasts/98") {
            reply = {404, "application/problem+json", R"({"detail":"as it came"})", ""};
        } else {
            reply = {404, "text/plain", "There is no such roast or target.", ""};
        }
        say(reply);
    };
    return api;
}

std::deque<Command> SampleStation::commands() const {
    const std::lock_guard lock(mutex_);
    return commands_;
}
std::deque<std::string> SampleStation::queries() const {
    const std::lock_guard lock(mutex_);
    return queries_;
}
std::deque<FactsGiven> SampleStation::facts() const {
    const std::lock_guard lock(mutex_);
    return facts_;
}
std::deque<ProbeSaid> SampleStation::probe_said() const {
    const std::lock_guard lock(mutex_);
    return probe_said_;
}
std::deque<std::string> SampleStation::choices() const {
    const std::lock_guard lock(mutex_);
    return choices_;
}

std::unique_ptr<Server> start_server(SampleStation& station, ServerSettings settings) {
    auto port = ListeningPort::open(settings.host, 0);
    REQUIRE_MESSAGE(port.ok(), (port.ok() ? "" : port.error()));
    return Server::start(std::move(port.value()), settings, sample_facts(), station.api());
}

}  // namespace drumwatch
