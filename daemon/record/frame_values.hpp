// A table-valued function that gives packed frames back as rows, for a person with SQL and for a view:
//
//   SELECT tick_ms, channel, value, quality, fresh FROM frame_values(12) WHERE channel = 'bean';
//
// The argument is the watch. Columns: tick_ms (ms since the watch began), channel (its name, or its number
// where the watch names fewer channels), value (in the channel's unit; NULL where the quality carries no
// value), quality (word), fresh (1 or 0). Oldest first. A damaged row of frames is left out. It lives in the
// daemon's own connections only, since an ordinary SQLite shell does not know the layout. Thread: the
// connection's.
#pragma once

struct sqlite3;

namespace drumwatch {

/// False: SQLite could not take it (no memory).
bool register_frame_values(sqlite3* handle);

}  // namespace drumwatch
