// Real processes. Time that passes for the sounder is stepped; time that processes need is real.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "sounders/command_sounder.hpp"
#include "unit/drivers/eventually.hpp"
#include "unit/sounders/processes.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;
using How = CommandResult::How;

namespace {

CommandResult play_to_end(CommandSounder& sounder, std::int64_t now_ms) {
    std::optional<CommandResult> result;
    REQUIRE(eventually([&] { return (result = sounder.step(now_ms)).has_value(); }));
    return *result;
}

CommandResult run(std::vector<std::string> command, Priority priority = Priority::high) {
    CommandSounder sounder(std::move(command), 10'000);
    if (auto refused = sounder.start(priority, 0)) return *refused;
    return play_to_end(sounder, 0);
}

pid_t told_process(const std::string& file) {
    REQUIRE(eventually([&] { return contents(file).find('\n') != std::string::npos; }));
    return static_cast<pid_t>(std::stol(contents(file)));
}

}  // namespace

TEST_CASE("a command that ends well is a success, another says its status and last words") {
    CHECK_FALSE(run({"/bin/true"}).failed());
    const CommandResult failed = run({"/bin/false"});
    CHECK(failed.how == How::exited);
    CHECK(failed.code == 1);
    CHECK(failed.sentence == "/bin/false failed with status 1");
    const CommandResult worded =
        run({"/bin/sh", "-c", "echo starting >&2; printf 'no sound\\tdevice \\303\\251\\n\\n' >&2; exit 7"});
    CHECK(worded.code == 7);
    CHECK(worded.sentence == "/bin/sh failed with status 7: no sound?device ??");
    const CommandResult killed = run({"/bin/sh", "-c", "kill -KILL $$"});
    CHECK(killed.how == How::signalled);
    CHECK(killed.code == SIGKILL);
    CHECK(no_children());
}

TEST_CASE("no shell looks at the arguments, and only a whole argument is the priority") {
    TempDir folder;
    const std::string out = folder.file("arguments");
    const std::string play = script(folder, "printf '%s\\n' \"$@\" > " + out + "\n");
    CHECK_FALSE(
        run({play, "{priority}", "x{priority}", "$HOME", "a b; exit 9", "*"}, Priority::medium).failed());
    CHECK(contents(out) == "medium\nx{priority}\n$HOME\na b; exit 9\n*\n");
}

TEST_CASE("what cannot be started says why") {
    TempDir folder;
    const auto why = [](std::vector<std::string> command) {
        const CommandResult result = run(std::move(command));
        CHECK(result.how == How::not_started);
        return result.sentence;
    };
    CHECK(why({}) == "a command needs a program to run");
    CHECK(why({"player"}) == "write the whole path of player: it must begin with /");
    CHECK(why({"/no/such/player"}) == "there is no program /no/such/player: install it, or correct its path");
    CHECK(why({folder.path() + "/"}).find("cannot run") == 0);
    const std::string bare = folder.file("bare");
    std::ofstream(bare) << "true\n";
    CHECK(why({bare}).find("may not be run") != std::string::npos);
    ::chmod(bare.c_str(), 0755);
    CHECK(why({bare}).find("a script needs a first line with its interpreter") != std::string::npos);
    std::ofstream(bare) << "#!/no/such/interpreter\n";
    CHECK(why({bare}).find("the interpreter in its first line is not there") != std::string::npos);
    CHECK(no_children());
}

TEST_CASE("a command gets nothing of the daemon's: files, signals, group, service manager") {
    TempDir folder;
    const int leaky = ::open("/dev/null", O_RDONLY);  // not close-on-exec
    ::signal(SIGUSR1, SIG_IGN);
    sigset_t blocked;
    sigset_t before;
    ::sigemptyset(&blocked);
    ::sigaddset(&blocked, SIGTERM);
    ::pthread_sigmask(SIG_BLOCK, &blocked, &before);
    ::setenv("NOTIFY_SOCKET", "/run/not-yours", 1);
    ::setenv("WATCHDOG_USEC", "8000000", 1);
    ::setenv("DRUMWATCH_TEST_KEPT", "kept", 1);

    CHECK_FALSE(run({"/bin/cp", "/proc/self/status", folder.file("status")}).failed());
    CHECK_FALSE(run({"/bin/cp", "/proc/self/stat", folder.file("stat")}).failed());
    CHECK_FALSE(run({"/bin/cp", "/proc/self/environ", folder.file("environ")}).failed());
    CHECK_FALSE(run({"/bin/sh", "-c",
                     "for f in 0 1 2 " + std::to_string(leaky) +
                         "; do readlink /proc/$$/fd/$f || echo closed; done > " + folder.file("files")})
                    .failed());
    ::unsetenv("NOTIFY_SOCKET");
    ::unsetenv("WATCHDOG_USEC");
    ::pthread_sigmask(SIG_SETMASK, &before, nullptr);
    ::signal(SIGUSR1, SIG_DFL);
    ::close(leaky);

    const std::string status = contents(folder.file("status"));
    CHECK(status.find("SigBlk:\t0000000000000000\n") != std::string::npos);
    const std::size_t ignored = status.find("SigIgn:\t");
    REQUIRE(ignored != std::string::npos);
    constexpr unsigned long long kGlibcsOwn =
        0x1'8000'0000;  // 32 and 33: its posix_spawn ignores them itself
    CHECK((std::stoull(status.substr(ignored + 8), nullptr, 16) & ~kGlibcsOwn) == 0);
    const std::string environment = contents(folder.file("environ"));
    CHECK(environment.find("NOTIFY_SOCKET") == std::string::npos);
    CHECK(environment.find("WATCHDOG_USEC") == std::string::npos);
    CHECK(environment.find("DRUMWATCH_TEST_KEPT=kept") != std::string::npos);
    std::istringstream stat(contents(folder.file("stat")));  // proc(5): number, name, state, parent, group
    std::string process;
    std::string skipped;
    std::string group;
    stat >> process >> skipped >> skipped >> skipped >> group;
    CHECK(group == process);
    const std::string files = contents(folder.file("files"));
    CHECK(files.find("/dev/null\n") == 0);
    CHECK(files.find("pipe:[") != std::string::npos);
    CHECK(files.ends_with("closed\n"));
}

TEST_CASE("a command that takes longer than its limit is ended") {
    CommandSounder sounder({"/bin/sleep", "600"}, 10'000);
    REQUIRE_FALSE(sounder.start(Priority::high, 5'000));
    CHECK_FALSE(sounder.step(14'999));
    CHECK(sounder.running());
    const CommandResult result = play_to_end(sounder, 15'000);
    CHECK(result.how == How::limit);
    CHECK(result.sentence == "/bin/sleep took longer than its limit of 10 s and was ended");
    CHECK_FALSE(sounder.running());
    CHECK(no_children());
}

TEST_CASE("a command that ignores SIGTERM is killed a second later, with all that it started") {
    TempDir folder;
    const std::string child = folder.file("child");
    const std::string play = script(folder, "trap '' TERM\nsleep 600 &\necho $! > " + child + "\nwait\n");
    CommandSounder sounder({play}, 10'000);
    REQUIRE_FALSE(sounder.start(Priority::high, 0));
    const pid_t grandchild = told_process(child);
    CHECK(alive(grandchild));
    CHECK_FALSE(sounder.step(10'000));
    std::this_thread::sleep_for(200ms);
    CHECK_FALSE(sounder.step(10'999));
    CHECK(alive(grandchild));  // a trap that ignores is inherited
    CHECK(play_to_end(sounder, 11'000).how == How::limit);
    CHECK(eventually([&] { return !alive(grandchild); }));
    CHECK(no_children());
}

TEST_CASE("what a command leaves behind in its group ends with it") {
    TempDir folder;
    const std::string child = folder.file("child");
    const std::string play = script(folder, "sleep 600 &\necho $! > " + child + "\n");
    CHECK_FALSE(run({play}).failed());
    const pid_t grandchild = told_process(child);
    CHECK(eventually([&] { return !alive(grandchild); }));
    CHECK(no_children());
}

TEST_CASE("a command that is called off is no failure") {
    CommandSounder sounder({"/bin/sleep", "600"}, 10'000);
    REQUIRE_FALSE(sounder.start(Priority::low, 0));
    sounder.call_off(100);
    const CommandResult result = play_to_end(sounder, 100);
    CHECK(result.how == How::called_off);
    CHECK_FALSE(result.failed());
    CHECK(no_children());
}

TEST_CASE("a command that complains without end is neither held up nor remembered whole") {
    CommandSounder sounder(
        {"/bin/sh", "-c", "while :; do echo 0123456789012345678901234567890123456789 >&2; done"}, 10'000);
    REQUIRE_FALSE(sounder.start(Priority::high, 0));
    for (int i = 0; i < 100; ++i) {
        CHECK_FALSE(sounder.step(i));
        std::this_thread::sleep_for(1ms);
    }
    const CommandResult result = play_to_end(sounder, 10'000);
    CHECK(result.how == How::limit);
    CHECK(result.sentence.size() < 300);
}

TEST_CASE("at the sounder's end nothing is left, whatever it was") {
    TempDir folder;
    const std::string child = folder.file("child");
    const std::string play = script(folder, "trap '' TERM\nsleep 600 &\necho $! > " + child + "\nwait\n");
    pid_t grandchild = 0;
    {
        CommandSounder sounder({play}, 10'000);
        REQUIRE_FALSE(sounder.start(Priority::high, 0));
        grandchild = told_process(child);
    }
    CHECK(no_children());
    CHECK(eventually([&] { return !alive(grandchild); }));
}
