// What Table and Document keep. Internal to engine/file.
#pragma once
#include <memory>
#include <string>

#include "engine/file/table.h"
#include "engine/file/tree.h"

namespace wetrun {

struct Document::Impl {
  std::string file;
  std::unique_ptr<file::Value> root;
  file::Record record;  // what has been read

  SourcePos position(const file::Place& place) const {
    return place.said ? SourcePos{*place.said, 0, 0} : SourcePos{file, place.line, place.column};
  }
};

struct Table::Impl {
  std::shared_ptr<Document::Impl> document;
  file::Value* value = nullptr;
  file::Record* record = nullptr;
  std::string path;

  /// "unit.tank" + "volume" -> "unit.tank.volume"
  std::string path_of(std::string_view key) const;
  /// The entry of a key, marked as read; null if absent. The name is remembered for "did you mean".
  file::Entry* read(std::string_view key) const;
  file::Entry& require(std::string_view key, const std::string& example) const;
  InputError error(const file::Value& value, const std::string& wrong, const std::string& right) const;
  InputError wrong_type(const file::Value& value, const std::string& value_path, const std::string& needed) const;

  double quantity_of(const file::Value& value, const std::string& value_path, std::string_view si_unit,
                     Range range) const;
  std::string text_of(const file::Value& value, const std::string& value_path) const;
  void note(std::string_view key, const std::string& toml) const { record->item(key).scalar = toml; }
  Table child(file::Value& child_value, file::Record* child_record, const std::string& child_path) const;
};

}  // namespace wetrun
