#include "service/live_station.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <chrono>
#include <csignal>
#include <filesystem>

#include "core/words.hpp"
#include "engine/engine.hpp"
#include "service/backup_schedule.hpp"
#include "service/box_health.hpp"
#include "service/box_state.hpp"
#include "service/bus_room.hpp"
#include "service/button_desk.hpp"
#include "service/command_desk.hpp"
#include "service/facts_desk.hpp"
#include "service/log_words.hpp"
#include "service/newest_snapshot.hpp"
#include "service/pacer.hpp"
#include "service/probe_desk.hpp"
#include "service/query_desk.hpp"
#include "service/reload.hpp"
#include "service/reminder_desk.hpp"
#include "service/resume.hpp"
#include "service/service_manager.hpp"
#include "service/sounder_room.hpp"
#include "service/station_facts.hpp"
#include "service/target_desk.hpp"
#include "service/tick_log.hpp"
#include "watch/watch_cutter.hpp"
#include "watch/watch_text.hpp"
#include "web/server.hpp"

namespace drumwatch {

namespace {

double clock_speed(const Config& config) {
    return config.simulated && !config.simulated->stepped ? config.simulated->speed : 1;
}

class Station final : public LiveStation {
  public:
    Station(const Config& config, std::unique_ptr<Recorder> recorder, std::vector<OfferedTarget> targets,
            ResumeChoice choice, const std::vector<ProbeRow>& probe_log, const BusWitness& witness)
        : config_(config),
          clock_(clock_speed(config)),
          recorder_(std::move(recorder)),
          resumed_(std::move(choice.resumed)),
          begin_(resumed_ ? resumed_->watch->begin
                          : make_begin(config_, recorder_->found(),
                                       start_target(targets, config_.chosen_target), choice.alarms)),
          latest_(config_.channels),
          buses_(
              config_, latest_, poster(), [this](std::size_t bus, auto ms) { polled(bus, ms); },
              [this](std::size_t button) { buttons_.pressed(button, shown_.get()); }, witness),
          sounders_(config_, buses_, clock_, poster(),
                    [this, post = poster()](std::size_t button) {
                        post([this, button, shown = shown_.get()] { buttons_.pressed(button, shown); });
                    }),
          engine_(resumed_ ? std::move(resumed_->engine) : Engine(begin_)),
          books_(*recorder_, config_.station, clock_),
          desk_(engine_, books_, config_.tick_ms, poster()),
          buttons_(config_, desk_),
          queries_(config_.record.path, target_rows(targets, clock_.wall())),
          targets_(engine_, desk_, queries_, *recorder_, clock_, std::move(targets)),
          facts_(*recorder_, queries_, clock_, poster()),
          reminders_(config_, *recorder_, queries_, clock_, poster()),
          probes_(config_, probe_log, latest_, *recorder_, clock_, poster(),
                  [this](std::size_t channel) {
                      if (config_.channels[channel].role == Role::bean)
                          targets_.doubt_lessons("probe changed");
                  }),
          health_(
              config_, [this](auto work) { queries_.run(std::move(work)); }, poster()) {
        found_ = recorder_->found().sentences;
        if (recorder_->found().set_aside) found_.push_back(newest_backup_sentence(config_.record));
        if (resumed_) found_.push_back(resumed_->sentence);
        if (!choice.why_not.empty()) found_.push_back(choice.why_not);
        pacer_ = make_pacer();
        signals_.async_wait([this](boost::system::error_code error, int signal) {
            if (error) return;
            spdlog::info("signal {}: ending", signal);
            end();
        });
        await_reload();
    }

    /// Commands of before a restart: a retry of one acts no second time.
    void remember_commands(const std::vector<CommandRow>& newest_first) {
        for (auto row = newest_first.rbegin(); row != newest_first.rend(); ++row)
            desk_.remember(row->client_id, parse_refusal(row->body));
    }

    void serve(ListeningPort port) {
        ServerSettings settings;
        settings.host = config_.web.host;
        settings.allowed_hosts = config_.web.allowed_hosts;
        settings.history_points = static_cast<std::size_t>(kHistory_ms / config_.tick_ms);
        server_ = Server::start(std::move(port), settings, station_facts(config_, buses_.names()), api());
        if (!resumed_) return;
        server_->remember([watch = resumed_->watch](const auto& sink) {
            refeed(*watch, [&](const Snapshot& snapshot, const std::vector<Event>&) { sink(snapshot); });
        });
    }

    std::uint16_t web_port() const override { return server_->port(); }
    const std::vector<std::string>& found() const override { return found_; }

    void run() override {
        begin_or_go_on();
        targets_.store();
        pacer_->start();
        core_.run();
    }

    ~Station() override {
        server_.reset();  // no more commands
        sounders_.stop();
        buses_.stop();
    }

  private:
    /// SIGHUP, again and again.
    void await_reload() {
        reloads_.async_wait([this](boost::system::error_code error, int) {
            if (error) return;
            spdlog::info("reading {} again", config_.path);
            queries_.run([this, post = poster(), present = config_] {
                auto again = std::make_shared<std::optional<ReadAgain>>(read_again(present));
                post([this, again] { take_over(*again); });
            });
            await_reload();
        });
    }

    void take_over(std::optional<ReadAgain>& again) {
        if (!again)
            return spdlog::error("nothing of it was taken over: mend the mistakes and send SIGHUP again");
        const bool all = say_changes(config_, again->config);
        config_.targets = again->config.targets;
        config_.verdict = again->config.verdict;
        targets_.take_over(std::move(again->targets));
        next_alarms_.reset();  // what was read before and has been taken back again
        if (again->config.hash == config_.hash) return;
        next_alarms_ = again->config.alarms;
        // As long as something waits for a restart, what runs is not what the file says.
        next_hash_ = all ? again->config.hash : config_.hash;
        cutter_.ask();
    }

    void begin_or_go_on() {
        if (!resumed_) return books_.begin(begin_);
        books_.go_on(begin_, engine_.snapshot(), resumed_->next);
        buses_.begin(resumed_->next, engine_.snapshot().silent_buses);
        sounders_.stands(engine_.snapshot().failed_sounders);
        health_.stands(engine_.snapshot().health_bad);
        probes_.stands(
            (engine_.snapshot().health_bad >> static_cast<unsigned>(Health::probe_check_overdue) & 1U) != 0);
        health_.begin(begin_.carried.first);
        if (!resumed_->gap_known) tell({resumed_->next, Health::gap_unknown, 0, true});
    }

    static constexpr std::int64_t kHistory_ms = 45 * 60'000;

    BusRoom::Post poster() {
        return [this](std::function<void()> work) { boost::asio::post(core_, std::move(work)); };
    }

    std::unique_ptr<Pacer> make_pacer() {
        PacerCalls calls;
        calls.poll = [this](std::size_t bus) { buses_.poll(bus); };
        calls.lead_us = [this](std::size_t bus) { return buses_.lead_us(bus); };
        calls.tick = [this](Tick now) { tick(now); };
        const bool stepped = config_.simulated && config_.simulated->stepped;
        const Tick first = resumed_ ? resumed_->next : Tick{};
        return stepped
                   ? make_stepped_pacer(core_, config_.tick_ms, config_.buses.size(), first, std::move(calls))
                   : make_clock_pacer(core_, clock_, config_.tick_ms, config_.buses.size(), first,
                                      std::move(calls));
    }

    /// A call of the page, carried out on the core thread.
    template <typename Work>
    auto on_core(Work work) {
        return [this, work](auto... given) {
            boost::asio::post(core_,
                              [work, ... given = std::move(given)]() mutable { work(std::move(given)...); });
        };
    }

    Api api() {
        Api api;
        api.command = on_core([this](Command command, CommandDesk::Answer answer) {
            desk_.take(std::move(command), std::move(answer));
        });
        api.facts = on_core([this](FactsGiven given, FactsDesk::Answer answer) {
            facts_.take(std::move(given), std::move(answer));
        });
        api.reminder_done = on_core([this](ReminderDone done, ReminderDesk::Answer answer) {
            reminders_.done(std::move(done), std::move(answer));
        });
        api.probe_said = on_core([this](const ProbeSaid& said, const ProbeDesk::Answer& answer) {
            probes_.take_saying(said, answer);
        });
        api.probes = on_core([this](const QueryDesk::Answer& answer) {
            answer({200, "application/json", probes_.json(engine_.snapshot(), buses_.links()), ""});
        });
        api.test_sounders = on_core([this](const std::string& who, const CommandDesk::Answer& answer) {
            answer(sounders_.test(engine_.snapshot(), who));
        });
        api.choose_target = on_core(
            [this](const std::string& name, const std::string& who, const std::string& client_id,
                   CommandDesk::Answer answer) { targets_.choose(name, who, client_id, std::move(answer)); });
        api.query = on_core([this](std::string path, std::string query, QueryDesk::Answer answer) {
            ask_record(std::move(path), std::move(query), std::move(answer));
        });
        return api;
    }

    void ask_record(std::string path, std::string query, QueryDesk::Answer answer) {
        const TargetPtr target = engine_.target();
        const bool of_roasts = path.starts_with("roasts");
        std::function<void()> ask = [this, path = std::move(path), query = std::move(query),
                                     answer = std::move(answer), chosen = target ? target->name : ""] {
            queries_.ask(path, query, chosen, answer);
        };
        // Whoever has just seen a verdict asks for a row that may not be written yet.
        if (!of_roasts || !recorder_->status().writing) return ask();
        recorder_->settled([post = poster(), ask = std::move(ask)] { post(ask); });
    }

    void polled(std::size_t bus, std::optional<std::uint32_t> machine_ms) {
        if (config_.simulated && config_.simulated->stepped)
            manager_.polled(std::chrono::steady_clock::now());
        pacer_->polled(bus, config_.buses[bus].time_register.has_value(), machine_ms);
    }

    void tell(const Observation& observation) {
        engine_.observe(observation);
        books_.observed(observation);
    }

    void tick(Tick now) {
        for (const Observation& change : buses_.judge(now)) tell(change);
        for (const std::string& news : buses_.unit_news()) log_at(now, news);
        for (const Observation& change : sounders_.judge(now)) tell(change);
        for (const Observation& change :
             health_.judge(now, recorder_->status(), pacer_->machine_elapsed_ms())) {
            tell(change);
        }
        const Frame frame = latest_.frame(now, buses_.silent_channels());
        if (const auto change = probes_.tick(now, engine_.snapshot().roast.has_value())) tell(*change);
        const Snapshot& snapshot = engine_.step(frame);
        sounders_.drive(snapshot);
        const auto& events = engine_.take_events();
        books_.tick(frame, snapshot, events);
        for (const Event& event : events) {
            for (const std::string& line : log_lines(event, snapshot, config_, sounders_.fault_of(event)))
                log_at(now, line);
        }
        probes_.judged(snapshot);
        targets_.tick(snapshot);
        reminders_.tick(now);
        publish(snapshot);
        if (const auto began = health_.look_at_clock(clock_, now)) books_.relabel(*began);
        const bool busy = snapshot.roast.has_value() || snapshot.cooling.has_value();
        if (backups_.due(since_start(now), busy)) make_backup_elsewhere();
        cutter_.add(frame);
        if (cutter_.due(engine_, begin_)) cut(now + config_.tick_ms);
        manager_.ticked(std::chrono::steady_clock::now(), recorder_->status(), engine_.snapshot());
    }

    /// A watch that goes on has ticks behind it.
    Tick since_start(Tick now) const { return resumed_ ? Tick{now - resumed_->next} : now; }

    /// On the query thread: a copy may take seconds.
    void make_backup_elsewhere() {
        backups_.begun();
        queries_.run([this, post = poster(), order = backups_.order(), wall = clock_.wall()] {
            auto done = std::make_shared<Result<BackupDone>>(make_backup(order, wall));
            post([this, done] {
                backups_.ended(since_start(engine_.snapshot().tick), *done);
                if (*done) {
                    spdlog::info("backup {}: {} roasts, verified", done->value().path, done->value().roasts);
                } else {
                    spdlog::error("{}", backups_.complaint());
                }
            });
        });
    }

    /// The watch ends here and the next one begins with the next tick.
    void cut(Tick first) {
        begin_ = cutter_.next(begin_, engine_, first);
        if (next_alarms_) begin_.settings.alarms = config_.alarms = *next_alarms_;
        if (next_alarms_) begin_.config_hash = config_.hash = next_hash_;
        next_alarms_.reset();
        label_now(begin_);
        engine_ = Engine(begin_);
        books_.begin(begin_);
        health_.begin(first);
        spdlog::info("watch {} begins", begin_.watch);
    }

    void publish(const Snapshot& snapshot) {
        Published published;
        published.snapshot = std::make_shared<const Snapshot>(snapshot);
        shown_.put(published.snapshot);
        auto box = box_state(clock_.wall(), recorder_->status(), backups_.complaint(), buses_, sounders_);
        box->reminders = reminders_.states();
        box->late_verdict = facts_.shown(snapshot);
        published.box = std::move(box);
        server_->publish(std::move(published));
    }

    /// What a person did since the last tick enters the next one: that tick is still made.
    void end() {
        manager_.ending();
        pacer_->stop();
        if (engine_.has_news()) tick(engine_.snapshot().tick + config_.tick_ms);
        sounders_.stop();
        buses_.stop();
        books_.end(engine_.snapshot());
        core_.stop();
    }

    Config config_;
    StationClock clock_;
    boost::asio::io_context core_;
    boost::asio::signal_set reloads_{core_, SIGHUP};
    boost::asio::signal_set signals_{core_, SIGINT,
                                     SIGTERM};  ///< from the first moment on: nothing ends half
    std::unique_ptr<Recorder> recorder_;
    std::optional<Resumed> resumed_;
    Begin begin_;
    LatestReadings latest_;
    NewestSnapshot shown_;
    BusRoom buses_;
    SounderRoom sounders_;
    Engine engine_;
    Bookkeeper books_;
    CommandDesk desk_;
    ButtonDesk buttons_;
    QueryDesk queries_;
    TargetDesk targets_;
    FactsDesk facts_;
    ReminderDesk reminders_;
    ProbeDesk probes_;
    BoxHealth health_;
    BackupSchedule backups_{config_};
    WatchCutter cutter_;
    std::optional<AlarmSettings> next_alarms_;  ///< of the next watch
    std::string next_hash_;
    ServiceManager manager_;
    std::unique_ptr<Pacer> pacer_;
    std::unique_ptr<Server> server_;
    std::vector<std::string> found_;
};

}  // namespace

Result<std::unique_ptr<LiveStation>> LiveStation::open(const Config& config, const BusWitness& witness) {
    auto targets = read_targets(config);
    if (!targets) return Error{targets.error()};
    auto port = ListeningPort::open(config.web.host, config.web.port);
    if (!port) return Error{port.error()};
    const RecorderSettings settings = recorder_settings(config.record);
    std::error_code none_yet;
    const auto bytes = std::filesystem::file_size(settings.path, none_yet);
    ServiceManager().busy("Opening and checking the record", opening_time(none_yet ? 0 : bytes));
    auto recorder = Recorder::open(settings);
    if (!recorder) return Error{recorder.error()};
    ResumeChoice choice;
    std::vector<CommandRow> commands;
    std::vector<ProbeRow> probe_log;
    if (auto reader = RecordReader::open(config.record.path)) {
        learn_from_record(*reader.value(), config.station, targets.value());
        const std::uint64_t newest = recorder.value()->found().next_watch - 1;
        ServiceManager().busy("Looking for a batch that was under way", std::chrono::seconds(90));
        if (newest > 0) choice = resume(*reader.value(), config, newest, read_clock());
        if (auto rows = reader.value()->newest_commands(CommandDesk::kRemembered))
            commands = std::move(rows.value());
        if (auto rows = reader.value()->probe_log()) probe_log = std::move(rows.value());
    }
    auto station = std::make_unique<Station>(config, std::move(recorder.value()), std::move(targets.value()),
                                             std::move(choice), probe_log, witness);
    station->remember_commands(commands);
    station->serve(std::move(port.value()));
    return std::unique_ptr<LiveStation>(std::move(station));
}

}  // namespace drumwatch
