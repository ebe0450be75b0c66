#include "simulator/options.hpp"

#include <arpa/inet.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <cstdio>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {
namespace {

constexpr const char* kAbout =
    "A model of a coffee-roasting machine with its operator, for trying Drumwatch without burning coffee.\n"
    "It serves Modbus TCP (unit 1) and, if asked, a serial text line; it roasts batch after batch by itself, "
    "or is\n"
    "roasted on by hand for practice. It is a model: it says nothing about what a real machine will do.";

constexpr const char* kRegisters =
    "Registers, counted from 0:\n"
    "  function 4   0..6    bean, exhaust, inlet, drum metal, tray, oxidiser, the bean probe's twin: int16,\n"
    "                       tenths of a degree C, 32767 = open probe\n"
    "               10..23  the same seven as float32, high word first; NaN = open probe\n"
    "  function 3   0, 1    burner, airflow (tenths of %)\n"
    "               2       drum speed (tenths of a turn a minute)\n"
    "               3..4    simulated time (uint32 ms, high word first)\n"
    "               5       0 preheating, 1 ready to charge, 2 roasting, 3 between batches or idle\n"
    "  function 2   0..3    four buttons\n"
    "  coils        0..5    sounder, heartbeat, red, yellow, blue and white light\n"
    "               16..19  the fingers on the four buttons (a client may set coils and nothing else)\n"
    "Faults of a probe:\n"
    "  open         open circuit\n"
    "  short        the wires touch at the terminals: the room's temperature is read\n"
    "  reversed     the wires the wrong way round: as far below the room as it should be above\n"
    "  out-of-span  1300 C, a transmitter's sign for a probe that failed\n"
    "  frozen       the reading stands still\n"
    "  spike        80 C more for half a second; with a length, every 5 s\n"
    "  noisy        burner ignition: 7 C up or down in turn for a quarter second, every 4 s\n"
    "  drifted      too high, by 1 C more each second, up to 12 C\n"
    "Exit codes: 0 done, 1 failed, 2 the call is wrong.";

/// The words as they were typed; what needs a second look is turned into Options afterwards.
struct Raw {
    std::string machine = "drum";
    std::int64_t stepped_ms = 0;
    std::vector<std::string> late;
    std::vector<std::size_t> skipped;
    std::vector<std::string> faults;
    double gap_s = 0.0;
    std::string target_file;
};

void add_machine(CLI::App& app, Raw& raw, Options& out) {
    app.add_option("--machine", raw.machine, "Machine: sample-drum, drum, hot-air, or a parameter file")
        ->group("Machine and coffee")
        ->capture_default_str();
    app.add_option("--seed", out.seed, "Seed of noise, scatter and lags; same seed, same roast")
        ->group("Machine and coffee")
        ->capture_default_str();
    app.add_flag("--quiet-probes", out.quiet_probes, "No noise on the readings (lag and rounding stay)")
        ->group("Machine and coffee");
    app.add_option("--scatter", out.routine.scatter, "Differences between batches: 0 none, 1 usual")
        ->group("Machine and coffee")
        ->check(CLI::Range(0.0, 10.0))
        ->capture_default_str();
}

void add_faces(CLI::App& app, Raw& raw, Options& out) {
    const char* group = "Time and connections";
    app.add_option("--host", out.host, "IPv4 address to listen on")->group(group)->capture_default_str();
    app.add_option("--port", out.port, "Modbus TCP port; 0 = any free one. Printed as  modbus: ADDRESS:PORT")
        ->group(group)
        ->check(CLI::Range(0, 65535))
        ->capture_default_str();
    auto* speed = app.add_option("--speed", out.speed, "Simulated seconds in a real second")
                      ->group(group)
                      ->check(CLI::Range(0.25, 50.0))
                      ->capture_default_str();
    app.add_option("--stepped", raw.stepped_ms,
                   "Time stands still until a client reads registers 3..4, then goes on by so many ms")
        ->group(group)
        ->check(CLI::Range(25, 10000))
        ->excludes(speed);
    auto* serial =
        app.add_flag("--serial", out.serial,
                     "Also write  bean,exhaust  lines to a pseudo-terminal, printed as  serial: PATH")
            ->group(group);
    app.add_option("--serial-link", out.serial_link, "Make a symbolic link to that terminal")
        ->group(group)
        ->needs(serial);
    app.add_option("--serial-period-ms", out.serial_period_ms, "Simulated time between lines")
        ->group(group)
        ->needs(serial)
        ->check(CLI::Range(25, 60000))
        ->capture_default_str();
}

void add_operator(CLI::App& app, Raw& raw, Options& out) {
    const char* group = "Operator";
    app.add_option("--batches", out.routine.batches, "Batches to roast, then only serve; 0 = no end")
        ->group(group)
        ->check(CLI::Range(0, 100000))
        ->capture_default_str();
    app.add_flag("--exit-after-batches", out.exit_after_batches, "End when the last batch has cooled")
        ->group(group);
    app.add_option("--gap-s", raw.gap_s,
                   "Seconds from drop to the next charge, at the least (else the machine's)")
        ->group(group)
        ->check(CLI::Range(10.0, 86400.0));
    app.add_option("--charge-offset", out.routine.charge_offset_c,
                   "Charge so many degrees C hotter than planned")
        ->group(group)
        ->check(CLI::Range(-60.0, 40.0));
    app.add_option("--move-late", raw.late, "N:SECONDS, the Nth planned move (from 1) is made late")
        ->group(group);
    app.add_option("--skip-move", raw.skipped, "N, the Nth planned move is left out")->group(group);
    app.add_flag("--human", out.routine.human, "Small random lags before each action")->group(group);
}

void add_rest(CLI::App& app, Raw& raw, Options& out) {
    app.add_option(
           "--fault", raw.faults,
           "KIND@WHEN or KIND@WHEN+LENGTH, seconds since the first charge; again for more faults. Kinds: " +
               fault_names())
        ->group("Faults");
    app.add_option("--truth", out.truth_file, "Write what truly happened, as JSON Lines")->group("Files");
    auto* target = app.add_option("--export-target", out.export_target_file,
                                  "Write the target of the machine's own schedule, and end")
                       ->group("Files");
    app.add_option("--approved-by", out.approved_by, "Name under which that target is approved (else: trial)")
        ->group("Files")
        ->needs(target);
    auto* hand =
        app.add_flag("--by-hand", out.by_hand, "You are the operator: the keys are shown on the screen")
            ->group("Practice");
    app.add_option("--target", raw.target_file,
                   "Target file to be judged against (else the machine's schedule)")
        ->group("Practice")
        ->needs(hand);
}

template <typename Number>
std::optional<Number> whole(const std::string& text) {
    Number value{};
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

void check_move_number(std::size_t number, const Machine& machine, const std::string& option) {
    if (number >= 1 && number <= machine.schedule.size()) return;
    throw SetupError(option + ": this machine's schedule has the moves 1 to " +
                     std::to_string(machine.schedule.size()));
}

void read_late_moves(const Raw& raw, Options& out) {
    for (const std::string& text : raw.late) {
        const auto colon = text.find(':');
        const auto number = whole<std::size_t>(text.substr(0, colon));
        const auto late_s = colon == std::string::npos ? std::nullopt : whole<double>(text.substr(colon + 1));
        if (!number || !late_s || !(*late_s >= 0.0 && *late_s <= 3600.0)) {
            throw SetupError("--move-late " + text + ": must look like 3:45 (third move, 45 seconds late)");
        }
        check_move_number(*number, out.machine, "--move-late " + text);
        out.routine.late_s[*number] = *late_s;
    }
    for (const std::size_t number : raw.skipped) {
        check_move_number(number, out.machine, "--skip-move " + std::to_string(number));
        out.routine.skipped.insert(number);
    }
}

void read_time(const CLI::App& app, const Raw& raw, Options& out) {
    if (app.count("--stepped") == 0) return;
    if (raw.stepped_ms % kStep_ms != 0) {
        throw SetupError("--stepped " + std::to_string(raw.stepped_ms) + ": must be a multiple of " +
                         std::to_string(kStep_ms));
    }
    out.stepped_ms = raw.stepped_ms;
    if (out.by_hand) throw SetupError("--by-hand needs running time: use --speed, not --stepped");
    for (const Fault& fault : out.faults) {
        if (!stops_answers(fault.kind)) continue;
        throw SetupError(
            "--fault " + fault_name(fault) +
            ": time would stop for ever, since with --stepped it goes on only with answers; use --speed");
    }
}

Options checked(const CLI::App& app, const Raw& raw, Options out) {
    out.machine = load_machine(raw.machine);
    for (const std::string& text : raw.faults) out.faults.push_back(parse_fault(text));
    if (app.count("--gap-s") > 0) out.routine.gap_s = raw.gap_s;
    if (!raw.target_file.empty()) out.target = load_target(raw.target_file);
    in_addr address{};
    if (inet_pton(AF_INET, out.host.c_str(), &address) != 1) {
        throw SetupError("--host " + out.host + ": must be a numeric IPv4 address such as 127.0.0.1");
    }
    read_late_moves(raw, out);
    read_time(app, raw, out);
    if (out.exit_after_batches && out.routine.batches == 0) {
        throw SetupError("--exit-after-batches: say how many with --batches");
    }
    out.routine.seed = out.seed;
    return out;
}

}  // namespace

ParsedOptions parse_options(int count, char** words) {
    CLI::App app(kAbout, "drumwatch-sim");
    app.footer(kRegisters);
    app.set_version_flag("--version", std::string("drumwatch-sim ") + DRUMWATCH_VERSION);
    Raw raw;
    Options out;
    add_machine(app, raw, out);
    add_faces(app, raw, out);
    add_operator(app, raw, out);
    add_rest(app, raw, out);
    try {
        app.parse(count, words);
        return {checked(app, raw, out), 0};
    } catch (const CLI::ParseError& error) {
        return {std::nullopt, app.exit(error) == 0 ? 0 : 2};
    } catch (const SetupError& error) {
        std::fprintf(stderr, "drumwatch-sim: %s\n", error.what());
        return {std::nullopt, 2};
    }
}

}  // namespace drumwatch::simulator
