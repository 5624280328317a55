#include "engine/file/write_file.h"

#include "engine/core/whole_file.h"

namespace wetrun {

void write_whole_file(const std::string& path, std::string_view text) {
  WholeFile file(path);
  file.write(text);
  file.commit();
}

}  // namespace wetrun
