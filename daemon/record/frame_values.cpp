#include "record/frame_values.hpp"

#include <sqlite3.h>

#include <string>
#include <vector>

#include "record/pack.hpp"
#include "record/rows.hpp"

namespace drumwatch {
namespace {

enum Column : int { kTick, kChannel, kValue, kQuality, kFresh, kWatch };

struct Table {
    sqlite3_vtab base;  // first: SQLite sees only this
    sqlite3* handle;
};

struct Cursor {
    sqlite3_vtab_cursor base;  // first: SQLite sees only this
    sqlite3_stmt* rows;
    std::int64_t watch;
    std::int64_t row_number;
    std::vector<std::string> names;
    std::vector<Frame> frames;
    std::size_t frame;
    std::size_t channel;
    bool end;
};

Cursor& of(sqlite3_vtab_cursor* cursor) { return *reinterpret_cast<Cursor*>(cursor); }
sqlite3* handle_of(const Cursor& cursor) { return reinterpret_cast<Table*>(cursor.base.pVtab)->handle; }

int connect(sqlite3* handle, void*, int, const char* const*, sqlite3_vtab** out, char**) {
    const int code = sqlite3_declare_vtab(handle,
                                          "CREATE TABLE x(tick_ms INTEGER, channel TEXT, value REAL, quality "
                                          "TEXT, fresh INTEGER, watch INTEGER HIDDEN)");
    if (code != SQLITE_OK) return code;
    *out = &(new Table{{}, handle})->base;
    return SQLITE_OK;
}

int disconnect(sqlite3_vtab* table) {
    delete reinterpret_cast<Table*>(table);
    return SQLITE_OK;
}

int best_index(sqlite3_vtab*, sqlite3_index_info* info) {
    for (int i = 0; i < info->nConstraint; ++i) {
        const auto& constraint = info->aConstraint[i];
        if (constraint.iColumn != kWatch || constraint.op != SQLITE_INDEX_CONSTRAINT_EQ) continue;
        if (!constraint.usable) return SQLITE_CONSTRAINT;  // this order of a join can't work: ask for another
        info->aConstraintUsage[i].argvIndex = 1;
        info->aConstraintUsage[i].omit = 1;
        info->idxNum = 1;
        info->estimatedCost = 1e4;
        return SQLITE_OK;
    }
    info->idxNum = 0;
    info->estimatedCost = 1e12;
    return SQLITE_OK;
}

int open(sqlite3_vtab*, sqlite3_vtab_cursor** out) {
    *out = &(new Cursor{})->base;
    return SQLITE_OK;
}

int close(sqlite3_vtab_cursor* cursor) {
    sqlite3_finalize(of(cursor).rows);
    delete &of(cursor);
    return SQLITE_OK;
}

void read_names(Cursor& cursor) {
    cursor.names.clear();
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(handle_of(cursor), "SELECT channels FROM watches WHERE id=?1", -1, &statement,
                       nullptr);
    sqlite3_bind_int64(statement, 1, cursor.watch);
    if (sqlite3_step(statement) == SQLITE_ROW) {
        const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement, 0));
        const auto channels = channels_from_json(text == nullptr ? "" : text);
        if (channels) {
            for (const Channel& channel : channels.value()) cursor.names.push_back(channel.name);
        }
    }
    sqlite3_finalize(statement);
}

/// Takes the next packed row that can be read, or comes to the end.
int next_row(Cursor& cursor) {
    cursor.frame = cursor.channel = 0;
    for (;;) {
        const int code = sqlite3_step(cursor.rows);
        cursor.end = code != SQLITE_ROW;
        if (code == SQLITE_DONE) return SQLITE_OK;
        if (code != SQLITE_ROW) return code;
        PackedFrames packed;
        packed.from_ms = sqlite3_column_int64(cursor.rows, 0);
        packed.to_ms = sqlite3_column_int64(cursor.rows, 1);
        packed.count = sqlite3_column_int64(cursor.rows, 2);
        packed.layout = sqlite3_column_int64(cursor.rows, 3);
        packed.crc = static_cast<std::uint32_t>(sqlite3_column_int64(cursor.rows, 4));
        const auto* body = static_cast<const char*>(sqlite3_column_blob(cursor.rows, 5));
        if (body != nullptr)
            packed.body.assign(body, static_cast<std::size_t>(sqlite3_column_bytes(cursor.rows, 5)));
        auto frames = unpack_frames(packed);
        if (!frames || frames.value()[0].channels == 0) continue;
        cursor.frames = std::move(frames.value());
        return SQLITE_OK;
    }
}

int filter(sqlite3_vtab_cursor* base, int plan, const char*, int, sqlite3_value** values) {
    Cursor& cursor = of(base);
    if (plan == 0) {
        sqlite3_free(base->pVtab->zErrMsg);
        base->pVtab->zErrMsg = sqlite3_mprintf("frame_values needs a watch: frame_values(12)");
        return SQLITE_ERROR;
    }
    cursor.watch = sqlite3_value_int64(values[0]);
    cursor.row_number = 0;
    read_names(cursor);
    sqlite3_finalize(cursor.rows);
    cursor.rows = nullptr;
    const int code = sqlite3_prepare_v2(handle_of(cursor),
                                        "SELECT from_ms, to_ms, count, layout, crc, body FROM frames WHERE "
                                        "watch=?1 ORDER BY from_ms",
                                        -1, &cursor.rows, nullptr);
    if (code != SQLITE_OK) return code;
    sqlite3_bind_int64(cursor.rows, 1, cursor.watch);
    return next_row(cursor);
}

int next(sqlite3_vtab_cursor* base) {
    Cursor& cursor = of(base);
    ++cursor.row_number;
    if (++cursor.channel < cursor.frames[cursor.frame].channels) return SQLITE_OK;
    cursor.channel = 0;
    if (++cursor.frame < cursor.frames.size()) return SQLITE_OK;
    return next_row(cursor);
}

int eof(sqlite3_vtab_cursor* cursor) { return of(cursor).end ? 1 : 0; }

void give_text(sqlite3_context* context, std::string_view text) {
    sqlite3_result_text64(context, text.data(), text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
}

int column(sqlite3_vtab_cursor* base, sqlite3_context* context, int number) {
    const Cursor& cursor = of(base);
    const Frame& frame = cursor.frames[cursor.frame];
    const Sample& sample = frame.samples[cursor.channel];
    switch (number) {
        case kTick:
            sqlite3_result_int64(context, frame.tick.ms);
            break;
        case kChannel:
            give_text(context, cursor.channel < cursor.names.size() ? cursor.names[cursor.channel]
                                                                    : std::to_string(cursor.channel));
            break;
        case kValue:
            if (has_value(sample.quality)) sqlite3_result_double(context, from_milli(sample.value_milli));
            break;  // NULL is what a column is unless something is said
        case kQuality:
            give_text(context, name(sample.quality));
            break;
        case kFresh:
            sqlite3_result_int(context, sample.fresh ? 1 : 0);
            break;
        default:
            sqlite3_result_int64(context, cursor.watch);
            break;
    }
    return SQLITE_OK;
}

int row_id(sqlite3_vtab_cursor* cursor, sqlite3_int64* out) {
    *out = of(cursor).row_number;
    return SQLITE_OK;
}

sqlite3_module make_module() {
    sqlite3_module module{};  // no xCreate: the function exists without a table
    module.xConnect = connect;
    module.xDisconnect = disconnect;
    module.xBestIndex = best_index;
    module.xOpen = open;
    module.xClose = close;
    module.xFilter = filter;
    module.xNext = next;
    module.xEof = eof;
    module.xColumn = column;
    module.xRowid = row_id;
    return module;
}

}  // namespace

bool register_frame_values(sqlite3* handle) {
    static const sqlite3_module kModule = make_module();
    return sqlite3_create_module_v2(handle, "frame_values", &kModule, nullptr, nullptr) == SQLITE_OK;
}

}  // namespace drumwatch
