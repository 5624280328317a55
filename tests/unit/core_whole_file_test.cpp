// Files that appear whole: the order in which they reach the disk, which is what is left after a power cut.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "engine/core/error.h"
#include "engine/core/whole_file.h"

namespace {

/// What was asked of the disk, in order: "flush NAME", "name NAME".
std::vector<std::string> asked;
int flushes_that_work = 1 << 30;

std::string name_of(int handle) {
  std::array<char, 4096> text{};
  const ssize_t length = ::readlink(("/proc/self/fd/" + std::to_string(handle)).c_str(), text.data(), text.size());
  return std::filesystem::path(std::string(text.data(), static_cast<std::size_t>(std::max<ssize_t>(length, 0))))
      .filename()
      .string();
}

}  // namespace

// The program's calls come here and go on to the system.
extern "C" int fsync(int handle) {
  asked.push_back("flush " + name_of(handle));
  if (flushes_that_work-- <= 0) {
    errno = EIO;
    return -1;
  }
  return static_cast<int>(::syscall(SYS_fsync, handle));
}
extern "C" int rename(const char* from, const char* to) noexcept {
  asked.push_back("name " + std::filesystem::path(to).filename().string());
  return static_cast<int>(::syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0));
}

namespace wetrun {
namespace {

namespace fs = std::filesystem;
using Asked = std::vector<std::string>;

class WholeFiles : public ::testing::Test {
protected:
  void SetUp() override {
    folder_ = (fs::temp_directory_path() / "wetrun-whole-XXXXXX").string();
    ASSERT_NE(::mkdtemp(folder_.data()), nullptr);
    fs::create_directory(folder_ + "/in");
    asked.clear();
    flushes_that_work = 1 << 30;
  }
  void TearDown() override { fs::remove_all(folder_); }
  std::string at(const std::string& name) const { return folder_ + "/in/" + name; }
  std::string read(const std::string& name) const {
    std::ostringstream text;
    text << std::ifstream(at(name), std::ios::binary).rdbuf();
    return text.str();
  }
  std::size_t count() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_ + "/in"), fs::directory_iterator()));
  }
  std::string folder_;
};

// A name that is on the disk before its text is a file without text after a power cut; a name that is not, no file. (POSIX.1-2017
// promises order between the two for fsync() only.)
TEST_F(WholeFiles, TheTextIsOnTheDiskBeforeTheNameAndTheNameBeforeItReturns) {
  WholeFile file(at("a"));
  file.write("new");
  EXPECT_EQ(asked, Asked{});
  file.commit();
  EXPECT_EQ(asked, (Asked{"flush a.part", "name a", "flush in"}));
  EXPECT_EQ(read("a"), "new");
  EXPECT_EQ(count(), 1u);
}

TEST_F(WholeFiles, SeveralTakeTheirNamesOnlyWhenAllAreOnTheDisk) {
  WholeFile a(at("a")), b(at("b")), c(at("c"));
  WholeFile* const all[] = {&a, &b, &c};
  for (WholeFile* one : all) one->write(one->path());
  WholeFile::commit_all(all);
  EXPECT_EQ(asked, (Asked{"flush a.part", "flush b.part", "flush c.part", "name a", "name b", "name c", "flush in"}));
  EXPECT_EQ(read("c"), at("c"));
  EXPECT_EQ(count(), 3u);
}

TEST_F(WholeFiles, ADiskThatFailsAtTheLastOfSeveralLeavesAllOfTheOldOnes) {
  for (const char* name : {"a", "b", "c"}) std::ofstream(at(name)) << "old " << name;
  {
    WholeFile a(at("a")), b(at("b")), c(at("c"));
    WholeFile* const all[] = {&a, &b, &c};
    for (WholeFile* one : all) one->write("new");
    flushes_that_work = 2;
    EXPECT_THROW(WholeFile::commit_all(all), InputError);
  }
  EXPECT_EQ(read("a") + read("b") + read("c"), "old aold bold c");
  EXPECT_EQ(count(), 3u) << "no parts";
}

TEST_F(WholeFiles, ANameThatCannotBeTakenLeavesNoPart) {
  WholeFile file(at("a"));
  file.write("new");
  fs::create_directory(at("a"));  // meanwhile
  fs::create_directory(at("a/b"));
  EXPECT_THROW(file.commit(), InputError);
  EXPECT_FALSE(fs::exists(at("a.part")));
}

TEST_F(WholeFiles, AFolderThatDoesNotReachTheDiskIsAnError) {
  flushes_that_work = 0;
  EXPECT_THROW(settle_folder(folder_), InputError);
  EXPECT_NO_THROW(settle_folder(folder_ + "/nowhere"));
}

}  // namespace
}  // namespace wetrun
