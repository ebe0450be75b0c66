// `drumwatch init`: asks the few things that matter, or takes them from the command line, and writes a first
// configuration. What it writes has passed `check`; nothing that is there is overwritten.
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstring>
#include <functional>
#include <iostream>
#include <utility>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/scan.hpp"
#include "config/config.hpp"
#include "config/first_config.hpp"

namespace drumwatch {

namespace {

struct InitCall {
    std::string file = "station.json";
    std::string modbus;   ///< HOST or HOST:PORT
    std::string limiter;  ///< PLACE:SETTING; empty: none stated
    bool scan = false;    ///< the device is looked into for its probes
    FirstAnswers answers;
};

constexpr const char* kLimiterForm = "PLACE:SETTING is wanted, such as bean:250, or none";
constexpr double kLowestLimit_c = 150;                         // of alarms.bean_high_high
constexpr const char* kStateFolder = "/var/lib/drumwatch";     // as the package makes it
constexpr const char* kPlace = "/etc/drumwatch/station.json";  // what the package's service reads

/// Nothing where the text after the last colon is no number.
std::optional<double> number_after_colon(const std::string& text, std::string& before) {
    const std::size_t colon = text.rfind(':');
    if (colon == std::string::npos) return std::nullopt;
    try {
        std::size_t used = 0;
        const double value = std::stod(text.substr(colon + 1), &used);
        if (used != text.size() - colon - 1) return std::nullopt;
        before = text.substr(0, colon);
        return value;
    } catch (const std::exception&) {
        return std::nullopt;
    }
}

bool split(InitCall& call) {
    FirstAnswers& answers = call.answers;
    if (answers.unit == "C" || answers.unit == "F") answers.unit = "°" + answers.unit;
    if (!call.modbus.empty()) {
        answers.host = call.modbus;
        if (const auto port = number_after_colon(call.modbus, answers.host))
            answers.port = static_cast<int>(*port);
    }
    if (call.limiter.empty() || call.limiter == "none" || call.limiter == "none stated") return true;
    const auto setting = number_after_colon(call.limiter, answers.limiter_place);
    answers.limiter_c = setting.value_or(0);
    return setting.has_value();
}

/// What is wrong with the answers until now, said on the terminal; true where nothing is. All that was
/// answered before was right, so that it is the last answer that must be given again.
bool right_until_now(InitCall call) {
    if (call.modbus.empty() && call.answers.device.empty()) call.modbus = "127.0.0.1";  // not asked yet
    if (!split(call)) {
        fmt::print("  {}\n", kLimiterForm);
        return false;
    }
    const ConfigReading reading = parse_config(first_config(call.answers), call.file);
    if (!reading.mistakes.empty()) fmt::print("  {}\n", reading.mistakes.front().message);
    return reading.config.has_value();
}

/// Questions at a terminal; an empty answer takes what stands in brackets, a wrong one is asked for again.
class Asking {
  public:
    explicit Asking(InitCall& call) : call_(call) {}

    /// False: the input has ended.
    bool ask(const char* question, std::string& answer) {
        const std::string usual = answer;
        do {
            answer = usual;
            if (!read(question, answer)) return false;
        } while (!right_until_now(call_));
        return true;
    }
    template <typename Number>
    bool ask(const char* question, Number& answer) {
        const std::string usual = fmt::format("{}", answer);
        do {
            std::string text = usual;
            if (!read(question, text)) return false;
            const auto value = number(text);
            if (!value) {
                fmt::print("  a number is wanted\n");
                continue;
            }
            answer = static_cast<Number>(*value);
            if (right_until_now(call_)) return true;
        } while (true);
    }
    bool read(const char* question, std::string& answer) {
        fmt::print("{} [{}]: ", question, answer.empty() ? "none" : answer);
        std::fflush(stdout);
        std::string line;
        if (!std::getline(std::cin, line)) return false;
        if (!line.empty()) answer = line == "none" ? "" : line;
        return true;
    }

  private:
    static std::optional<double> number(const std::string& text) {
        std::string nothing;
        const auto value = number_after_colon(":" + text, nothing);
        return value && *value >= -1e6 && *value <= 1e6 ? value : std::nullopt;
    }
    InitCall& call_;
};

/// One of the two links must be there.
bool ask_link(Asking& asking, InitCall& call) {
    while (call.modbus.empty() && call.answers.device.empty()) {
        if (!asking.ask("Address of the Modbus TCP controller, HOST:PORT; none for a serial line",
                        call.modbus))
            return false;
        if (call.modbus.empty() && !asking.ask("Serial device, from /dev/serial/by-id/", call.answers.device))
            return false;
    }
    return true;
}

bool ask_places(Asking& asking, FirstAnswers& answers, bool serial) {
    if (serial) answers.bean = std::max(answers.bean, 1);
    struct {
        const char* modbus;
        const char* serial;
        int& answer;
    } const places[] = {
        {"Input register of the bean probe, counted from 0",
         "Field of the bean probe in a line, counted from 1", answers.bean},
        {"Input register of the exhaust probe, -1 for none", "Field of the exhaust probe, -1 for none",
         answers.exhaust},
        {"Holding register of the burner's level, -1 for none", "Field of the burner's level, -1 for none",
         answers.burner},
        {"Holding register of the airflow's level, -1 for none", "Field of the airflow's level, -1 for none",
         answers.airflow},
    };
    for (const auto& place : places)
        if (!asking.ask(serial ? place.serial : place.modbus, place.answer)) return false;
    return serial || asking.ask("Degrees, or %, a count, such as 0.1", answers.scale);
}

/// The limiter first: the alarm must come before it.
bool ask_limits(Asking& asking, InitCall& call) {
    const double usual_c = std::exchange(call.answers.limit_c, kLowestLimit_c);
    if (!asking.ask("The machine's independent high-limit control, PLACE:SETTING in °C", call.limiter))
        return false;
    call.answers.limit_c = usual_c;
    return asking.ask("Overtemperature alarm at the bean probe, °C", call.answers.limit_c);
}

/// What a look into the device finds takes the place of registers and fields. True where it found something.
bool take_scan(InitCall& call) {
    static const std::atomic<bool> never{false};
    ScanCall scan;
    scan.where = call.modbus.empty() ? call.answers.device : call.modbus;
    int code = kDone;
    const auto found = scan_device(scan, never, code);
    if (!found) return false;
    fmt::print("{}", scan_report(*found));
    call.answers.found_channels = scan_channels(*found);
    if (call.answers.found_channels.empty()) return false;
    call.answers.found_buses = scan_bus(*found);
    return true;
}

/// Asked of who is at the terminal; where nothing is found, the questions go on.
bool offer_scan(Asking& asking, InitCall& call) {
    std::string answer = "yes";
    if (!asking.read("Look into the device for its probes? It is only read from: yes or no", answer))
        return false;
    call.scan = answer.starts_with('y') && take_scan(call);
    return true;
}

bool ask_all(InitCall& call) {
    Asking asking(call);
    FirstAnswers& answers = call.answers;
    if (!asking.ask("Name of this station", answers.station)) return false;
    if (!asking.ask("The machine, in your words", answers.machine)) return false;
    if (!ask_link(asking, call)) return false;
    if (!offer_scan(asking, call)) return false;
    if (!call.scan) {
        if (!ask_places(asking, answers, call.modbus.empty())) return false;
        if (!asking.ask("Unit that the instrument sends, °C or °F (C or F will do)", answers.unit))
            return false;
    }
    if (!ask_limits(asking, call)) return false;
    if (!asking.ask("Where the record is to lie", answers.record)) return false;
    if (!asking.ask("Address of the page; this box's own for tablets", answers.page_host)) return false;
    return asking.ask("Port of the page", answers.page_port);
}

/// Only a new file, whole or not at all.
int write_new(const std::string& path, const std::string& text) {
    const int file = open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
    if (file < 0 && errno == EEXIST)
        return complain(path + " is there already and is not overwritten: name another file");
    if (file < 0) return complain(fmt::format("{} can't be made: {}", path, std::strerror(errno)), kFailed);
    const bool written =
        ::write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size()) && fsync(file) == 0;
    close(file);
    if (!written) {
        unlink(path.c_str());
        return complain(fmt::format("{} could not be written whole; is the disk full?", path), kFailed);
    }
    fmt::print("wrote {}; next: drumwatch check {}, then ", path, path);
    const bool service = access(kPlace, F_OK) == 0;
    fmt::print(
        fmt::runtime(service ? "sudo cp {} {} and sudo systemctl restart drumwatch\n" : "drumwatch run {}\n"),
        path, kPlace);
    return kDone;
}

int run_init(InitCall& call) {
    const bool terminal = isatty(STDIN_FILENO) != 0;
    const bool told = !call.modbus.empty() || !call.answers.device.empty();
    if (access(call.file.c_str(), F_OK) == 0)
        return complain(call.file + " is there already and is not overwritten: name another file");
    if (!told && !terminal)
        return complain("nobody is here to ask: give --modbus HOST:PORT or --serial DEVICE (see --help)");
    if (!told && !ask_all(call)) return complain("\nthe answers ended too early: nothing was written");
    if (!split(call)) return complain(fmt::format("--limiter: {}", kLimiterForm));
    if (told && call.scan && !take_scan(call))
        return complain(
            "nothing was written: the scan found no probe; leave --scan out to name registers or fields",
            kFailed);
    const std::string text = first_config(call.answers);
    const ConfigReading reading = parse_config(text, call.file);
    for (const ConfigMistake& mistake : reading.mistakes)
        fmt::print(stderr, "{}: {}\n", mistake.pointer, mistake.message);
    if (!reading.config) return complain("nothing was written: these answers make no configuration");
    return write_new(call.file, text);
}

}  // namespace

void add_init(CLI::App& app, int& exit_code) {
    CLI::App* command =
        app.add_subcommand("init", "Write a first configuration: asks what matters, or takes it from here");
    const auto call = std::make_shared<InitCall>();
    FirstAnswers& answers = call->answers;
    if (access(kStateFolder, F_OK) == 0) answers.record = fmt::format("{}/station.sqlite", kStateFolder);
    command->add_option("FILE", call->file, "file to write; left out: station.json");
    auto* modbus = command->add_option("--modbus", call->modbus,
                                       "address of the Modbus TCP controller, HOST or HOST:PORT (502)");
    command->add_option("--serial", answers.device, "serial device that sends lines of text instead")
        ->excludes(modbus);
    command->add_flag("--scan", call->scan,
                      "look into that device, reading only, and take the probes it has");
    command->add_option("--station", answers.station, "name of the station");
    command->add_option("--machine", answers.machine, "the machine, in your words");
    command->add_option("--unit-id", answers.unit_id, "Modbus unit");
    command->add_option("--baud", answers.baud, "speed of the serial line");
    command->add_option("--bean", answers.bean,
                        "where the bean probe stands: input register from 0, or field from 1");
    command->add_option("--exhaust", answers.exhaust, "the same of the exhaust probe");
    command->add_option("--burner", answers.burner, "holding register, or field, of the burner's level in %");
    command->add_option("--airflow", answers.airflow,
                        "holding register, or field, of the airflow's level in %");
    command->add_option("--scale", answers.scale, "degrees a count of a Modbus register (0.1)");
    command->add_option("--degrees", answers.unit, "what the instrument sends: °C or °F");
    command->add_option("--limit", answers.limit_c, "overtemperature alarm at the bean probe, in °C (240)");
    command->add_option("--limiter", call->limiter, "independent high-limit control, PLACE:SETTING in °C");
    command->add_option("--record", answers.record, "where the record is to lie");
    command->add_option("--host", answers.page_host, "address of the page (127.0.0.1)");
    command->add_option("--port", answers.page_port, "port of the page (8420)");
    command->callback([call, &exit_code] {
        if (!call->answers.device.empty() && call->answers.bean == 0) call->answers.bean = 1;
        exit_code = run_init(*call);
    });
}

}  // namespace drumwatch
