# A static library in C++ behind a C interface: the program that links it needs CXX among its
# languages, for the link alone.
include(CMakeFindDependencyMacro)
find_dependency(Threads)
include(${CMAKE_CURRENT_LIST_DIR}/rimebenchTargets.cmake)
