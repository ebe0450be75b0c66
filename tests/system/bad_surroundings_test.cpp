// What the real programs say and do when their surroundings are bad: never a crash, never half a start.
#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "station.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

void write(const std::string& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

/// A station on nothing: its bus is a port of loopback where nobody listens (port 1 needs a privileged
/// server).
std::string station_text(const std::string& record, int web_port) {
    return R"({"station":"Nowhere","limiter":"none stated",
"buses":[{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":1}],
"channels":[{"name":"bean","bus":"machine","unit":"°C","modbus":{"table":"input","address":0,"type":"int16"},"scale":0.1}],
"record":{"path":")" +
           record + R"("},"web":{"port":)" + std::to_string(web_port) + "}}";
}

Finished run_daemon(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), DRUMWATCH_DAEMON);
    return run_program(arguments, 60s);
}

}  // namespace

TEST_CASE(
    "killed, then stopped and started, in the middle of a roast: it goes on as if nothing had been, but for "
    "the gap") {
    // Scaled, not stepped: the record commits once a second of real time.
    StationPlan plan;
    plan.simulator = {"--seed", "11", "--batches", "1", "--exit-after-batches"};
    plan.stepped = false;
    plan.speed = 8;
    StationRun station(plan);
    station.await_truth("turning_point", "\"batch\":1");
    const std::string said = station.kill_and_restart();
    CHECK_MESSAGE(said.find("roast 1 in the drum goes on after a gap") != std::string::npos, said);
    station.await_truth("yellow", "\"batch\":1");
    const std::string again = station.stop_and_restart();
    CHECK_MESSAGE(again.find("roast 1 in the drum goes on") != std::string::npos, again);
    station.to_the_end();
    const RoastRecord roast = station.roast(1);
    CHECK(roast.state == RoastState::finished);
    REQUIRE(roast.verdict);
    CHECK(station.roasts() == 1);
    // The gap is as long as the wall clock says, to within a start-up: the drop is where it was.
    const auto since_charge_s = [&](const char* event) {
        return static_cast<double>(station.first(event).sim_ms - station.first("charge").sim_ms) / 1000;
    };
    const auto& turned = roast.milestones[static_cast<std::size_t>(Milestone::turning_point)];
    REQUIRE(turned);
    CHECK(std::fabs(seconds_between(roast.charge, turned->at) - since_charge_s("turning_point")) < 4);
    REQUIRE(roast.drop);
    CHECK(std::fabs(seconds_between(roast.charge, *roast.drop) - since_charge_s("drop")) < 12);
}

TEST_CASE("a batch under way is not gone on with after the configuration has changed") {
    StationPlan plan;
    plan.simulator = {"--seed", "13"};
    plan.stepped = false;
    plan.speed = 8;
    StationRun station(plan);
    station.await_truth("turning_point", "\"batch\":1");
    const std::string said = station.kill_and_restart("// changed\n");
    CHECK_MESSAGE(said.find("is not gone on with: the configuration has changed") != std::string::npos, said);
    CHECK(station.roast(1).state == RoastState::interrupted);
    station.await_truth("yellow", "\"batch\":1");
    station.stop();
    CHECK(station.frames(2).size() > 100);
    CHECK(station.roasts() == 1);  // a roast that it did not see begin is not made up
}

TEST_CASE("a machine that is not there: the daemon waits for it, shows no value, and stops when told") {
    TempDir folder;
    const std::string config = folder.file("station.json");
    write(config, station_text(folder.file("record.sqlite"), 0));
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config});
    const std::string page = daemon.expect_line("page: ", 30s);
    CHECK(page.starts_with("http://127.0.0.1:"));
    daemon.send_signal(SIGTERM);
    const auto status = daemon.wait(30s);
    REQUIRE(status);
    CHECK(*status == 0);
}

TEST_CASE("a page port in use is refused with what to do") {
    TempDir folder;
    write(folder.file("one.json"), station_text(folder.file("one.sqlite"), 0));
    ChildProcess first({DRUMWATCH_DAEMON, "run", folder.file("one.json")});
    const std::string page = first.expect_line("page: ", 30s);
    const int port = std::stoi(page.substr(page.rfind(':') + 1));
    write(folder.file("two.json"), station_text(folder.file("two.sqlite"), port));
    const Finished second = run_daemon({"run", folder.file("two.json")});
    CHECK(second.status == 1);
    CHECK(second.output.empty());
    CHECK_MESSAGE(second.errors.find(std::to_string(port)) != std::string::npos, second.errors);
}

TEST_CASE("a record is backed up beside its daemon, and restored only once that has stopped") {
    TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write(folder.file("station.json"), station_text(record, 0));
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", folder.file("station.json")});
    daemon.expect_line("page: ", 30s);
    std::filesystem::create_directory(folder.file("stick"));
    const Finished unmounted = run_daemon({"backup", record, "--to", folder.file("stick")});
    CHECK(unmounted.status == 1);
    CHECK_MESSAGE(unmounted.errors.find("--same-disk") != std::string::npos, unmounted.errors);
    const Finished made = run_daemon({"backup", record, "--to", folder.file("stick"), "--same-disk"});
    REQUIRE_MESSAGE(made.status == 0, made.errors);
    const std::string backup = made.output.substr(0, made.output.find(": 0 roasts, verified"));
    REQUIRE(std::filesystem::exists(backup));
    CHECK(run_daemon({"verify", record}).status == 0);
    const Finished verified = run_daemon({"verify", backup, "--json"});
    CHECK(verified.status == 0);
    CHECK(nlohmann::json::parse(verified.output)["whole"] == true);
    const Finished held = run_daemon({"restore", backup, record});
    CHECK(held.status == 1);
    CHECK_MESSAGE(held.errors.find("another daemon") == 0, held.errors);
    CHECK(daemon.running());
    daemon.send_signal(SIGTERM);
    REQUIRE(daemon.wait(30s));
    CHECK(run_daemon({"restore", backup, record}).status == 0);
    CHECK(run_daemon({"verify", record}).status == 0);
    write(folder.file("half.sqlite"), std::string(1000, 'x'));
    CHECK(run_daemon({"restore", folder.file("half.sqlite"), record}).status == 2);
}

TEST_CASE("a daemon makes its own backups, and says where it can't") {
    TempDir folder;
    std::filesystem::create_directory(folder.file("stick"));
    for (const bool allowed : {true, false}) {
        CAPTURE(allowed);
        std::string text = station_text(folder.file("record.sqlite"), 0);
        const std::string backup = R"(,"backup":{"folder":")" + folder.file("stick") + R"(","same_disk":)" +
                                   (allowed ? "true}" : "false}");
        text.insert(text.find("record.sqlite\"") + 14, backup);
        write(folder.file("station.json"), text);
        ChildProcess daemon({DRUMWATCH_DAEMON, "run", folder.file("station.json")});
        daemon.expect_line("page: ", 30s);
        const std::string wanted = allowed ? "0 roasts, verified" : "the newest backup failed";
        const auto give_up = std::chrono::steady_clock::now() + 60s;  // only to stop a hang
        while (daemon.errors().find(wanted) == std::string::npos &&
               std::chrono::steady_clock::now() < give_up)
            std::this_thread::sleep_for(20ms);
        CHECK_MESSAGE(daemon.errors().find(wanted) != std::string::npos, daemon.errors());
        daemon.send_signal(SIGTERM);
        REQUIRE(daemon.wait(30s));
        for (const auto& entry : std::filesystem::directory_iterator(folder.file("stick"))) {
            CHECK(run_daemon({"verify", entry.path().string()}).status == 0);
            std::filesystem::remove(entry.path());
        }
    }
}

TEST_CASE("two daemons on one record, and a record that is no database") {
    TempDir folder;
    write(folder.file("station.json"), station_text(folder.file("record.sqlite"), 0));
    ChildProcess first({DRUMWATCH_DAEMON, "run", folder.file("station.json")});
    first.expect_line("page: ", 30s);
    const Finished second = run_daemon({"run", folder.file("station.json")});
    CHECK(second.status == 1);
    CHECK_FALSE(second.errors.empty());
    CHECK(first.running());

    write(folder.file("text.sqlite"), std::string(5000, 'x'));
    write(folder.file("other.json"), station_text(folder.file("text.sqlite"), 0));
    const Finished other = run_daemon({"run", folder.file("other.json")});
    CHECK(other.status == 1);
    CHECK_MESSAGE(other.errors.find("text.sqlite") != std::string::npos, other.errors);
    CHECK(std::filesystem::file_size(folder.file("text.sqlite")) == 5000);  // left as it was
}

TEST_CASE("a configuration with mistakes: check and run say them all, and nothing starts half") {
    TempDir folder;
    const std::string config = folder.file("station.json");
    std::string text = station_text(folder.file("record.sqlite"), 0);
    text.replace(text.find("\"bus\":\"machine\",\"unit\""), 15, "\"bus\":\"machin\"");
    text.insert(1, "\"stattion\":\"x\",");
    write(config, text);
    for (const char* command : {"check", "run"}) {
        CAPTURE(command);
        const Finished finished = run_daemon({command, config});
        CHECK(finished.status == 2);
        CHECK(finished.output.empty());
        CHECK_MESSAGE(finished.errors.find("/stattion") != std::string::npos, finished.errors);
        CHECK_MESSAGE(finished.errors.find("/channels/0/bus") != std::string::npos, finished.errors);
    }
    CHECK_FALSE(std::filesystem::exists(folder.file("record.sqlite")));
}

TEST_CASE("a configuration that can't be read is a failure and no mistake of the file: exit 1, and why") {
    TempDir folder;
    const std::string loop = folder.file("loop.json");
    std::filesystem::create_symlink(loop, loop);
    write(folder.file("large.json"), std::string(2'000'000, ' '));
    write(folder.file("mistake.json"), "{}");
    struct Row {
        std::string path;
        const char* says;
        int status;
    };
    for (const Row& row : {Row{folder.file("absent.json"), "there is no such file", 1},
                           Row{folder.file(""), "this is a folder, not a file", 1},
                           Row{loop, "can't be opened: Too many levels of symbolic links", 1},
                           Row{folder.file("large.json"), "larger than 1 MiB", 1},
                           Row{folder.file("mistake.json"), "is missing and must be given", 2}}) {
        for (const char* command : {"check", "run"}) {
            CAPTURE(command);
            const Finished finished = run_daemon({command, row.path});
            CHECK(finished.status == row.status);
            CHECK(finished.output.empty());
            CHECK_MESSAGE(finished.errors.find(row.path + ":") == 0, finished.errors);
            CHECK_MESSAGE(finished.errors.find(row.says) != std::string::npos, finished.errors);
        }
    }
}

TEST_CASE("rerun of files that can't be trusted says why") {
    TempDir folder;
    struct Bad {
        const char* name;
        const char* text;
        const char* says;
    };
    for (const Bad& bad :
         {Bad{"empty.csv", "", "empty"}, Bad{"no-bean.csv", "elapsed_s,exhaust_c\n0,200\n", "bean"},
          Bad{"back.csv", "elapsed_s,bean_c\n5,200\n4,200\n", "row"}}) {
        CAPTURE(bad.name);
        write(folder.file(bad.name), bad.text);
        const Finished finished = run_daemon({"rerun", folder.file(bad.name)});
        CHECK(finished.status == 2);
        CHECK(finished.output.empty());
        CHECK_MESSAGE(finished.errors.find(bad.says) != std::string::npos, finished.errors);
    }
    CHECK(run_daemon({"rerun", folder.file("absent.csv")}).status == 2);
    CHECK(run_daemon({"brew"}).status == 2);
    // What can be kept is kept, with a warning that names the row.
    write(folder.file("holes.csv"), "elapsed_s,bean_c\n0,200\n1,n/a\n2,NaN\n3,\n4,200.1\n");
    const Finished kept = run_daemon({"rerun", folder.file("holes.csv")});
    CHECK(kept.status == 0);
    CHECK_MESSAGE(kept.errors.find("row") != std::string::npos, kept.errors);
}

TEST_CASE("SIGHUP takes over what it can, says what waits, and changes nothing for a file with mistakes") {
    TempDir folder;
    const std::string config = folder.file("station.json");
    const std::string record = folder.file("record.sqlite");
    // Scaled: three minutes of an empty drum pass in nine seconds.
    const auto text = [&](const std::string& alarms, const std::string& more) {
        std::string whole = station_text(record, 0);
        return whole.insert(1, R"("simulated":{"speed":20},"alarms":)" + alarms + "," + more);
    };
    write(config, text(R"({"bean_high_high":{"limit_c":240}})", ""));
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config});
    daemon.expect_line("page: ", 30s);
    const auto says = [&](const char* part) {
        const auto give_up = std::chrono::steady_clock::now() + 60s;  // only to stop a hang
        while (daemon.errors().find(part) == std::string::npos && std::chrono::steady_clock::now() < give_up)
            std::this_thread::sleep_for(20ms);
        return daemon.errors().find(part) != std::string::npos;
    };
    CHECK(says("0.00 s: bean: no reading has come since the start"));
    write(config, text(R"({"bean_high_high":{"limit_c":"hot"}})", ""));
    daemon.send_signal(SIGHUP);
    CHECK(says("/alarms/bean_high_high/limit_c"));
    CHECK(says("nothing of it was taken over"));
    write(config, text(R"({"bean_high_high":{"limit_c":229}})", ""));
    daemon.send_signal(SIGHUP);
    CHECK(says("/alarms/bean_high_high: will be taken over with the next watch"));
    write(config, text(R"({"bean_high_high":{"limit_c":240}})", ""));  // and is taken back
    daemon.send_signal(SIGHUP);
    CHECK(says("says the same as before"));
    CHECK(says("watch 2 begins"));
    write(config, text(R"({"bean_high_high":{"limit_c":231}})", R"("machine":"another",)"));
    daemon.send_signal(SIGHUP);
    CHECK(says("/machine: waits for a restart"));
    CHECK(says("watch 3 begins"));
    daemon.send_signal(SIGTERM);
    REQUIRE(daemon.wait(30s));
    const auto reader = RecordReader::open(record);
    REQUIRE(reader);
    const auto first = reader.value()->watch(1).value();
    const auto second = reader.value()->watch(2).value();
    const auto third = reader.value()->watch(3).value();
    REQUIRE(third);
    CHECK(first->begin.find("\"limit\":240") != std::string::npos);
    CHECK(second->begin.find("\"limit\":240") != std::string::npos);
    CHECK(third->begin.find("\"limit\":231") != std::string::npos);
    CHECK(third->config_hash == first->config_hash);  // it does not run on the whole of the new file
}

TEST_CASE(
    "init writes a configuration that check takes, asks nobody who is not there, and overwrites nothing") {
    TempDir folder;
    const std::string file = folder.file("station.json");
    const Finished nobody = run_daemon({"init", file});
    CHECK(nobody.status == 2);
    CHECK_MESSAGE(nobody.errors.find("--modbus") != std::string::npos, nobody.errors);
    CHECK(run_daemon({"init", file, "--modbus", "127.0.0.1", "--limiter", "bean"}).status == 2);
    CHECK(run_daemon({"init", file, "--modbus", "127.0.0.1", "--limit", "1000"}).status == 2);
    CHECK_FALSE(std::filesystem::exists(file));
    const Finished made =
        run_daemon({"init", file, "--modbus", "127.0.0.1:1", "--bean", "4", "--degrees", "F", "--limiter",
                    "bean:250", "--record", folder.file("record.sqlite"), "--port", "0"});
    REQUIRE_MESSAGE(made.status == 0, made.errors);
    CHECK(run_daemon({"check", file}).status == 0);
    const Finished again = run_daemon({"init", file, "--serial", "/dev/ttyS0"});
    CHECK(again.status == 2);
    CHECK_MESSAGE(again.errors.find("not overwritten") != std::string::npos, again.errors);
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", file});
    daemon.expect_line("page: ", 30s);
    daemon.send_signal(SIGTERM);
    CHECK(daemon.wait(30s) == 0);
}

TEST_CASE("check says what a site should know: its alarms, its limiter, a target hotter than the alarm") {
    TempDir folder;
    std::filesystem::copy(DRUMWATCH_CONF, folder.path(), std::filesystem::copy_options::recursive);
    const std::string file = folder.file("demo.json");
    const Finished plain = run_daemon({"check", "--alarms", file});
    CHECK(plain.status == 0);
    CHECK_MESSAGE(plain.errors.empty(), plain.errors);
    CHECK(plain.output.find("note: no independent high-limit control is stated") != std::string::npos);
    CHECK(plain.output.find("bean_high_high        high      240 °C") != std::string::npos);
    CHECK(plain.output.find("inlet_high            off: no limit is set") != std::string::npos);
    std::ifstream read(file);
    std::string text{std::istreambuf_iterator<char>(read), {}};
    const std::string limit = R"("limit_c": 240)";
    text.replace(text.find(limit), limit.size(), R"("limit_c": 205)");
    std::ofstream(file) << text;
    const Finished low = run_daemon({"check", file});
    CHECK(low.status == 0);
    CHECK_MESSAGE(low.errors.find("it would sound in every roast of this target") != std::string::npos,
                  low.errors);
    CHECK(low.output.find("bean_high_high ") == std::string::npos);
}

TEST_CASE("init at a terminal asks again for what can't be right, and keeps the rest") {
    TempDir folder;
    const std::string file = folder.file("station.json");
    // script(1) gives it a terminal.
    ChildProcess person({"script", "-qec", DRUMWATCH_DAEMON " init " + file, "/dev/null"});
    for (const char* answer : {"Mill", "",  "none", "none",     "192.168.10.31:1502",  // a link there must be
                               "no",                                                   // look into it
                               "-1",   "4", "5",    "x",        "0",
                               "1",    "0", "0.1",  // bean, exhaust, burner, airflow, scale
                               "Q",    "F", "bean", "bean:230", "240",  // Q is no unit
                               "225",  "",  "",     "0"})
        person.write(std::string(answer) + "\n");
    const std::string said = person.read_rest(30s);
    CHECK_MESSAGE(person.wait(30s) == 0, said);
    CHECK_MESSAGE(said.find("a number is wanted") != std::string::npos, said);
    CHECK(run_daemon({"check", file}).status == 0);
    std::ifstream written(file);
    const std::string text{std::istreambuf_iterator<char>(written), {}};
    for (const char* kept : {"\"station\": \"Mill\"", "\"port\": 1502", "\"address\": 4", "\"°F\"",
                             "\"setting_c\": 230", "\"limit_c\": 225"})
        CHECK_MESSAGE(text.find(kept) != std::string::npos, text);
}
