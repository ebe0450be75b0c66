#include "commands/show_watch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <csignal>
#include <map>

#include "commands/commands.hpp"
#include "files/target_json.hpp"
#include "web/server.hpp"

namespace drumwatch {

namespace {

namespace asio = boost::asio;

constexpr std::int64_t kBeforeCharge_ms = 60'000;
constexpr std::int64_t kLongestPause_ms = 2'000;  // a gap in the recording is not sat through

StationFacts facts_of(const WatchFile& file) {
    const Begin& begin = file.watch.begin;
    StationFacts facts;
    facts.station = fmt::format("rerun: watch {} of {}", begin.watch, utc_text(file.began).substr(0, 10));
    facts.machine = "a recording: nothing here is happening now";
    facts.build = DRUMWATCH_VERSION;
    facts.channels = begin.settings.channels;
    facts.tick_ms = begin.settings.tick_ms;
    facts.limiter = "A recording: no machine is watched.";
    return facts;
}

/// Every target that the watch followed, by name, as a file's text.
std::map<std::string, std::string> targets_of(const RecordedWatch& watch) {
    std::map<std::string, std::string> texts;
    const auto add = [&](const TargetPtr& target) {
        if (target) texts[target->name] = write_target(*target);
    };
    add(watch.begin.target);
    for (const Command& command : watch.commands) add(command.target);
    return texts;
}

QueryAnswer recorded_answer(const std::map<std::string, std::string>& targets, const std::string& path) {
    constexpr std::string_view kOneTarget = "targets/";
    if (path == "roasts" || path == "targets") return {200, "application/json", "{\"" + path + "\":[]}", {}};
    const auto found =
        path.starts_with(kOneTarget) ? targets.find(path.substr(kOneTarget.size())) : targets.end();
    if (found == targets.end()) return {404, "text/plain", "a rerun has no record", {}};
    return {200, "application/json", found->second, {}};
}

/// Nothing can be told a recording.
Api deaf_api(const RecordedWatch& watch) {
    static constexpr const char* kSentence = "this is a rerun of a recorded watch: it takes no commands";
    Api api;
    api.command = [](Command, auto answer) { answer({409, true, kSentence}); };
    api.choose_target = [](std::string, std::string, std::string, auto answer) {
        answer({409, true, kSentence});
    };
    api.facts = [](FactsGiven, auto answer) { answer({409, true, kSentence}); };
    api.reminder_done = [](ReminderDone, auto answer) { answer({409, true, kSentence}); };
    api.test_sounders = [](const std::string&, auto answer) { answer({409, true, kSentence}); };
    api.query = [targets = targets_of(watch)](std::string path, std::string, auto answer) {
        answer(recorded_answer(targets, path));
    };
    return api;
}

std::optional<Tick> first_charge(const RecordedWatch& watch) {
    for (Refeeder feeder(watch); !feeder.done();) {
        if (const auto& roast = feeder.step().roast) return roast->charge;
    }
    return std::nullopt;
}

Tick begin_at(const RecordedWatch& watch, const ShowOptions& options) {
    const Tick first = watch.begin.carried.first;
    if (options.from_s) return first + static_cast<std::int64_t>(*options.from_s * 1000);
    const auto charge = first_charge(watch);
    return charge ? *charge - kBeforeCharge_ms : first;
}

/// Plays snapshots to the server, one a tick, as fast as they were.
class Player {
  public:
    Player(const WatchFile& file, const ShowOptions& options, Server& server)
        : file_(file), speed_(options.speed), server_(server), feeder_(file.watch) {
        skip_to(begin_at(file.watch, options));
        signals_.async_wait([this](boost::system::error_code, int) { core_.stop(); });
    }

    void run() {
        step();  // so that whoever opens the page at once finds something
        fmt::print("page: http://127.0.0.1:{}/\n", server_.port());
        std::fflush(stdout);
        core_.run();
    }

  private:
    const std::vector<Frame>& frames() const { return file_.watch.frames; }

    /// What came before stands in the page's history.
    void skip_to(Tick from) {
        for (; next_ < frames().size() && frames()[next_].tick < from; ++next_) feeder_.step();
        server_.remember([&watch = file_.watch, steps = next_](const auto& sink) {
            Refeeder feeder(watch);
            for (std::size_t i = 0; i < steps; ++i) sink(feeder.step());
        });
    }

    void step() {
        if (feeder_.done()) {
            fmt::print("the watch ends here; Ctrl-C ends the page\n");
            std::fflush(stdout);
            return;
        }
        publish(feeder_.step());
        timer_.expires_at(due_ += pause());
        ++next_;
        timer_.async_wait([this](boost::system::error_code error) {
            if (!error) step();
        });
    }

    std::chrono::steady_clock::duration pause() const {
        if (next_ + 1 >= frames().size()) return {};
        const std::int64_t ms = std::min(frames()[next_ + 1].tick - frames()[next_].tick, kLongestPause_ms);
        const std::chrono::duration<double, std::milli> real(static_cast<double>(ms) / speed_);
        return std::chrono::duration_cast<std::chrono::steady_clock::duration>(real);
    }

    void publish(const Snapshot& snapshot) {
        Published published;
        published.snapshot = std::make_shared<const Snapshot>(snapshot);
        auto box = std::make_shared<BoxState>();
        box->utc.unix_ms = file_.began.unix_ms + (snapshot.tick - file_.watch.begin.carried.first);
        box->record_text = "a rerun: nothing is recorded";
        published.box = std::move(box);
        server_.publish(std::move(published));
    }

    const WatchFile& file_;
    double speed_;
    Server& server_;
    Refeeder feeder_;
    std::size_t next_ = 0;
    asio::io_context core_;
    asio::signal_set signals_{core_, SIGINT, SIGTERM};
    asio::steady_timer timer_{core_};
    std::chrono::steady_clock::time_point due_ = std::chrono::steady_clock::now();
};

}  // namespace

int show_watch(const WatchFile& file, const ShowOptions& options) {
    auto port = ListeningPort::open("127.0.0.1", options.port);
    if (!port) {
        fmt::print(stderr, "{}\n", port.error());
        return kFailed;
    }
    ServerSettings settings;
    const auto server =
        Server::start(std::move(port.value()), settings, facts_of(file), deaf_api(file.watch));
    Player(file, options, *server).run();
    return kDone;
}

}  // namespace drumwatch
