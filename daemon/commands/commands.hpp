// The subcommands of `drumwatch`: each adds itself to the command line and, once chosen, does its work.
// Results go to stdout, complaints to stderr. Exit codes: 0 done, 1 failed, 2 the input or the call is wrong.
#pragma once

namespace CLI {
class App;
}

namespace drumwatch {

inline constexpr int kDone = 0;
inline constexpr int kFailed = 1;
inline constexpr int kWrongInput = 2;

/// `exit_code` is set by the subcommand that runs; it must outlive the parse.
void add_run(CLI::App& app, int& exit_code);
void add_init(CLI::App& app, int& exit_code);
void add_check(CLI::App& app, int& exit_code);
void add_convert(CLI::App& app, int& exit_code);
void add_doctor(CLI::App& app, int& exit_code);
void add_probes(CLI::App& app, int& exit_code);
void add_backup(CLI::App& app, int& exit_code);
void add_restore(CLI::App& app, int& exit_code);
void add_verify(CLI::App& app, int& exit_code);
void add_target(CLI::App& app, int& exit_code);
void add_rerun(CLI::App& app, int& exit_code);
void add_backtest(CLI::App& app, int& exit_code);
void add_alarms(CLI::App& app, int& exit_code);
void add_export(CLI::App& app, int& exit_code);

}  // namespace drumwatch
