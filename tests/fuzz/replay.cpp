// Runs a fuzz target over files and folders of files, with any compiler: what a fuzzer has found stays mended.
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "tests/fuzz/fuzz.h"

namespace {

namespace fs = std::filesystem;

std::vector<fs::path> files_of(const std::vector<std::string>& places) {
  std::vector<fs::path> files;
  for (const std::string& place : places) {
    if (fs::is_regular_file(place)) files.emplace_back(place);
    if (!fs::is_directory(place)) continue;
    for (const fs::directory_entry& entry : fs::directory_iterator(place))
      if (entry.is_regular_file()) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

int main(int argc, char** argv) {
  if (!std::freopen("/dev/null", "w", stdout)) return 1;  // what a program prints is of no interest here
  const std::vector<fs::path> files = files_of({argv + 1, argv + argc});
  for (const fs::path& file : files) {
    std::ifstream in(file, std::ios::binary);
    const std::vector<std::uint8_t> bytes((std::istreambuf_iterator<char>(in)), {});
    std::fprintf(stderr, "%s\n", file.c_str());  // the last one printed is the one that stopped it
    LLVMFuzzerTestOneInput(bytes.data(), bytes.size());
  }
  const std::size_t taken = wetrun::fuzz::accepted_count;
  std::fprintf(stderr, "%zu files, %zu accepted\n", files.size(), taken);
  // If the program's formats have changed so that every seed is refused, the seeds must be made anew.
  return taken > 0 ? 0 : 1;
}
