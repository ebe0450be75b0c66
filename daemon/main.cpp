// The command line, nothing else.
#include <CLI/CLI.hpp>
#include <csignal>

#include "commands/commands.hpp"

int main(int argc, char** argv) {
    // A reader of our output or a tablet that went away is an error to be told, not the end of the watch.
    std::signal(SIGPIPE, SIG_IGN);
    CLI::App app{
        "Drumwatch watches a roasting machine beside its target curve, says what comes next, and keeps the "
        "record.\n"
        "It watches only: no safety device.",
        "drumwatch"};
    app.set_version_flag("--version", std::string("drumwatch ") + DRUMWATCH_VERSION);
    app.require_subcommand(1);
    int exit_code = drumwatch::kDone;
    drumwatch::add_run(app, exit_code);
    drumwatch::add_init(app, exit_code);
    drumwatch::add_check(app, exit_code);
    drumwatch::add_convert(app, exit_code);
    drumwatch::add_doctor(app, exit_code);
    drumwatch::add_probes(app, exit_code);
    drumwatch::add_backup(app, exit_code);
    drumwatch::add_restore(app, exit_code);
    drumwatch::add_verify(app, exit_code);
    drumwatch::add_target(app, exit_code);
    drumwatch::add_rerun(app, exit_code);
    drumwatch::add_backtest(app, exit_code);
    drumwatch::add_alarms(app, exit_code);
    drumwatch::add_export(app, exit_code);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? drumwatch::kDone : drumwatch::kWrongInput;
    }
    return exit_code;
}
