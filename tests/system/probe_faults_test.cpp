// Every fault of a probe, on real links: the simulator's probes fail one after the other and beside each
// other, the daemon as shipped reads them over Modbus TCP and a serial line, and what it says is looked at
// after every tick. Named within the limit, by the right name, for as long as it lasts, counted, gone
// afterwards, and at no time anything at another channel.
//
// Stepped time: a relay on the Modbus line looks before it hands on the question that makes time go on.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <fstream>
#include <future>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <thread>

#include "support/child_process.hpp"
#include "support/modbus_relay.hpp"
#include "support/raw_client.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;
using nlohmann::json;

namespace {

constexpr auto kHang = 120s;    // only to stop a hang
constexpr double kEnd_s = 400;  // of the machine: it is charged after 96 s
constexpr double kBegun_s = 1;
constexpr double kReading_s = 0.25;  // a serial line may be one ahead of the Modbus registers
constexpr std::uint8_t kTimeRegister = 3;

/// One fault of one channel; seconds of the machine's time, since the first charge.
struct Trial {
    std::string channel;
    std::string fault;  ///< of the simulator
    double at_s;
    double for_s;
    std::string name;  ///< what must be said
    double named_within_s;
    double gone_within_s;
    std::vector<std::string> on_the_way;  ///< what may be said besides, as it comes or goes
};

const std::vector<Trial> kTrials = {
    {"oxidiser", "out-of-span-oxidiser", 30, 20, "out_of_span", 0.5, 0.5, {}},
    {"inlet", "reversed-inlet", 30, 20, "reversed", 1, 0.5, {"out_of_span"}},
    {"inlet", "open-inlet", 80, 20, "open_circuit", 0.5, 0.5, {}},
    {"drum", "short-drum", 40, 20, "short_circuit", 2.5, 1, {"suspect"}},
    {"drum", "spike-drum", 100, 0.5, "suspect", 0.5, 1, {}},
    // Six sparks in a minute, one each 4 s; over once the last minute had none but one.
    {"tray", "noisy-tray", 20, 70, "noisy", 26, 62, {}},
    // Stands still for two minutes while the bean probe goes 25 °C away.
    {"exhaust", "frozen-exhaust", 50, 150, "frozen", 125, 0.5, {"suspect"}},
    // Thaws before it has 8 °C to jump.
    {"bean", "frozen-bean", 100, 16, "frozen", 12, 0.5, {}},
    // 12 s until it is 12 °C off, some 11 s until the mean says so, and a minute.
    {"twin", "drifted-twin", 150, 110, "apart_from_twin", 90, 26, {"suspect"}},
    {"display", "mute-serial", 60, 10, "stale", 3.5, 0.5, {}},
};

std::string modbus_channel(const char* name, int address, const std::string& more = "") {
    return fmt::format(
        R"({{"name":"{}","bus":"machine","unit":"°C","scale":0.1,{}"modbus":{{"table":"input","address":{},)"
        R"("type":"int16","open_raw":32767}}}},)",
        name, more, address);
}

std::string configuration(std::uint16_t port, const std::string& serial, const TempDir& folder) {
    const auto channels = modbus_channel("bean", 0) + modbus_channel("exhaust", 1) +
                          modbus_channel("inlet", 2) + modbus_channel("drum", 3) + modbus_channel("tray", 4) +
                          modbus_channel("oxidiser", 5) + modbus_channel("twin", 6, R"("twin":"bean",)");
    return fmt::format(
        R"({{"station":"Saltmarsh Mill","limiter":"none stated","simulated":{{"stepped":true}},"buses":[)"
        R"({{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":{},"time_register":{},"timeout_ms":10000}},)"
        R"({{"name":"panel","kind":"serial_text","device":"{}","baud":115200,"timeout_ms":10000}}],"channels":[{})"
        R"({{"name":"display","bus":"panel","unit":"°C","text":{{"field":1,"open_text":"---"}}}},)"
        R"({{"name":"machine_s","bus":"machine","unit":"","scale":0.001,"modbus":{{"table":"holding","address":{},"type":"uint32"}}}}],)"
        R"("record":{{"path":"{}"}},"web":{{"port":0}}}})",
        port, kTimeRegister, serial, channels, kTimeRegister, folder.file("record.sqlite"));
}

/// What is said after one tick.
struct Look {
    double machine_s = 0;
    std::int64_t sequence = 0;
    std::map<std::string, std::string> said;  ///< of each channel: nothing, or the name of a fault
};

/// The fault's name by the status, which must be what the probes' list says too, in whole sentences.
std::string said_of(const json& channel, const json& probe) {
    const std::string quality = channel["quality"];
    const std::string name = quality == "good" ? channel.value("doubt", "") : quality;
    const json& told = probe["probe_fault"];
    const bool same = name.empty() ? told.is_null()
                                   : told.is_object() && told["name"] == name &&
                                         !told["sentence"].get<std::string>().empty() &&
                                         !told["look_first"].get<std::string>().empty();
    return same ? name : "status and probes differ: " + name + " and " + told.dump();
}

class Station {
  public:
    Station()
        : simulator_(simulator_call()),
          relay_(port_after(simulator_.expect_line("modbus: ", kHang)),
                 [this](const Bytes& request) { look(request); }) {
        std::ofstream(folder_.file("station.json"))
            << configuration(relay_.port(), simulator_.expect_line("serial: ", kHang), folder_);
        daemon_.emplace(std::vector<std::string>{DRUMWATCH_DAEMON, "run", folder_.file("station.json")});
        page_ = port_after(daemon_->expect_line("page: ", kHang));
    }
    /// Runs on until the machine's time is there, and ends all.
    void to(double end_s) {
        end_s_ = end_s;
        REQUIRE_MESSAGE(ended_.get_future().wait_for(kHang) == std::future_status::ready, daemon_->errors());
        counted_ = json::parse(RawClient(page_).get("/api/probes").body);
        daemon_->send_signal(SIGTERM);
        CHECK(daemon_->wait(kHang) == 0);
    }
    /// Machine's seconds at which the simulator's fault began and ended.
    std::pair<double, double> truth_of(const std::string& fault) const {
        std::ifstream file(folder_.file("truth.jsonl"));
        std::pair<double, double> times{-1, -1};
        for (std::string line; std::getline(file, line);) {
            const json truth = json::parse(line, nullptr, false);
            if (truth.is_discarded() || truth["event"] != "fault" || truth["kind"] != fault) continue;
            (truth["on"] == true ? times.first : times.second) = truth["sim_ms"].get<double>() / 1000;
        }
        return times;
    }
    const std::vector<Look>& looks() const { return looks_; }
    const json& counted() const { return counted_; }
    std::string log() const { return daemon_->errors(); }

  private:
    static std::uint16_t port_after(const std::string& line) {
        return static_cast<std::uint16_t>(std::stoi(line.substr(line.rfind(':') + 1)));
    }
    std::vector<std::string> simulator_call() const {
        std::vector<std::string> call = {DRUMWATCH_SIM, "--stepped", "250",     "--seed",
                                         "7",           "--serial",  "--truth", folder_.file("truth.jsonl")};
        for (const Trial& trial : kTrials)
            call.insert(call.end(),
                        {"--fault", fmt::format("{}@{}+{}", trial.fault, trial.at_s, trial.for_s)});
        return call;
    }
    /// On the relay's thread: the daemon has made its tick and waits for the machine.
    void look(const Bytes& request) {
        const bool asks_time = request.size() == 12 && request[7] == 3 && request[9] == kTimeRegister;
        if (!asks_time || page_ == 0 || over_) return;
        if (!client_) client_.emplace(page_);
        const json status = json::parse(client_->get("/api/status").body, nullptr, false);
        const json probes = json::parse(client_->get("/api/probes").body, nullptr, false);
        if (status.is_discarded() || probes.is_discarded() || !status.contains("channels")) return;
        Look seen;
        const json& channels = status["channels"];
        if (!channels["machine_s"]["value"].is_number()) return;
        seen.machine_s = channels["machine_s"]["value"];
        seen.sequence = status["sequence"];
        for (const json& probe : probes["probes"])
            seen.said[probe["channel"]] = said_of(channels[probe["channel"].get<std::string>()], probe);
        wait_for_line(channels["display"]["age_s"]);
        looks_.push_back(std::move(seen));
        if (end_s_ == 0 || looks_.back().machine_s < end_s_) return;
        over_ = true;
        ended_.set_value();
    }
    /// The serial line has no part in the stepping: on a busy machine its lines come late in real time, while
    /// the machine's time has gone on. So that waits for them, the longer the more are missed; for one that
    /// is mute, a few seconds in all.
    static void wait_for_line(const json& age_s) {
        if (!age_s.is_number() || age_s > 3.0) return;
        std::this_thread::sleep_for(age_s.get<double>() * 200ms);
    }

    TempDir folder_;
    ChildProcess simulator_;
    std::optional<RawClient> client_;  ///< the relay's thread only, as those that follow
    std::vector<Look> looks_;
    bool over_ = false;
    std::atomic<double> end_s_ = 0;
    std::atomic<std::uint16_t> page_ = 0;
    std::promise<void> ended_;
    json counted_;
    ModbusRelay relay_;
    std::optional<ChildProcess> daemon_;
};

struct Span {
    const Trial* trial;
    double from_s;
    double to_s;
};

/// What may be said of a channel at a moment, and whether something must.
void check_look(const Look& look, const std::string& channel, const std::vector<Span>& spans) {
    const std::string& said = look.said.at(channel);
    const double now_s = look.machine_s;
    std::set<std::string> allowed{""};
    std::string must;
    for (const Span& span : spans) {
        if (span.trial->channel != channel || now_s < span.from_s) continue;
        if (now_s > span.to_s + span.trial->gone_within_s) continue;
        allowed.insert(span.trial->name);
        allowed.insert(span.trial->on_the_way.begin(), span.trial->on_the_way.end());
        if (now_s >= span.from_s + span.trial->named_within_s && now_s < span.to_s - kReading_s)
            must = span.trial->name;
    }
    CHECK_MESSAGE(allowed.contains(said), channel, " at ", now_s, " s: ", said);
    if (!must.empty()) CHECK_MESSAGE(said == must, channel, " at ", now_s, " s: ", said);
}

void check_named(const Span& span, const std::vector<Look>& looks) {
    const Trial& trial = *span.trial;
    const auto named = [&](const Look& look) {
        return look.machine_s >= span.from_s && look.machine_s <= span.to_s + trial.gone_within_s &&
               look.said.at(trial.channel) == trial.name;
    };
    const auto first = std::find_if(looks.begin(), looks.end(), named);
    REQUIRE_MESSAGE(first != looks.end(), trial.fault, " was never named");
    const auto last = std::find_if(looks.rbegin(), looks.rend(), named);
    CHECK_MESSAGE(first->machine_s - span.from_s <= trial.named_within_s, trial.fault);
    MESSAGE(trial.fault, ": ", trial.name, " after ", first->machine_s - span.from_s, " s, gone ",
            last->machine_s - span.to_s, " s after its end");
}

/// Each began once but for jumps; what came on the way may have been counted too, and nothing else.
void check_counts(const json& probe, const std::vector<Span>& spans) {
    const std::string channel = probe["channel"];
    std::set<std::string> left;
    for (const auto& [name, count] : probe["probe_faults"].items()) left.insert(name);
    for (const Span& span : spans) {
        if (span.trial->channel != channel) continue;
        const std::string& name = span.trial->name;
        const int count = probe["probe_faults"].value(name, 0);
        // A spike jumps out and back.
        CHECK_MESSAGE((name == "suspect" ? count >= 1 : count == 1), probe.dump());
        left.erase(name);
        for (const std::string& other : span.trial->on_the_way) left.erase(other);
    }
    CHECK_MESSAGE(left.empty(), probe.dump());
}

}  // namespace

TEST_CASE("every fault of a probe is named on a real link, in time, counted, at its channel only, and goes") {
    Station station;
    station.to(kEnd_s);
    const std::vector<Look>& looks = station.looks();
    REQUIRE(looks.size() > 1'000);
    for (std::size_t i = 1; i < looks.size(); ++i) REQUIRE(looks[i].sequence == looks[i - 1].sequence + 1);

    std::vector<Span> spans;
    for (const Trial& trial : kTrials) {
        const auto [from_s, to_s] = station.truth_of(trial.fault);
        REQUIRE_MESSAGE(from_s > 0, trial.fault);
        REQUIRE_MESSAGE(to_s + trial.gone_within_s < looks.back().machine_s, trial.fault,
                        " does not end in time");
        spans.push_back({&trial, from_s, to_s});
    }
    for (const Span& span : spans) check_named(span, looks);
    for (const Look& look : looks) {
        if (look.machine_s < kBegun_s) continue;  // not everything is read yet
        for (const auto& [channel, said] : look.said) check_look(look, channel, spans);
    }
    REQUIRE(station.counted()["probes"].size() == 8);
    for (const json& probe : station.counted()["probes"]) check_counts(probe, spans);
    CHECK(station.log().find("tray: Single readings jump out and back again") != std::string::npos);
    CHECK(station.log().find("tray: no longer noisy") != std::string::npos);
}
