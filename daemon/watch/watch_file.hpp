// A watch as a file that leaves nothing out: `drumwatch export RECORD --watch N`. Send it, and the same
// engine says the same elsewhere.
//
// JSON Lines in UTF-8 (one JSON object a line, RFC 8259), as a whole in gzip (RFC 1952), or plain:
//   {"drumwatch_watch":1,"began":"2026-11-25T10:42:07.250Z","begin":{...}}    first; begin as in
//   watch_text.hpp
//   {"command":{...},"who":"left tablet","client_id":"..."}                   as in watch_text.hpp
//   {"observation":{"tick_ms":1250,"health":"disk_low","index":0,"bad":true}}
//   {"frame":1250,"samples":[[201300,"good",1],...]}                          as in core/frame_text.hpp
//   {"journal":"..."}                                                         what was said live, a line an
//   event
//   {"end":{"frames":4800,"commands":7,"observations":1,"journal":61}}        last: a file without it is cut
//   short
// What was told stands before the frame of its tick, in the order in which it was told; the journal comes
// after all of it. "began" is a label. Pure; any thread.
#pragma once

#include <string>
#include <vector>

#include "core/result.hpp"
#include "watch/refeed.hpp"

namespace drumwatch {

struct WatchFile {
    RecordedWatch watch;
    WallTime began;
    std::vector<std::string> journal;  ///< as it was said live; lines as in journal.hpp
};

std::string watch_file_text(const WatchFile& file);
bool looks_like_watch_file(const std::string& text);
/// The error names the line.
Result<WatchFile> parse_watch_file(const std::string& text);

}  // namespace drumwatch
