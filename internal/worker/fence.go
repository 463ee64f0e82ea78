package worker

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"unsafe"

	"golang.org/x/sys/unix"
)

// What a child may use. The nets and a 4K clip take under 1 GB. Ten minutes of clip are placed
// automatically in ten to twelve minutes on two cores, and may take twice that.
const (
	mostMemory  = 2560 << 20 // bytes of private memory
	mostCPU     = 3600       // s, of all cores together
	mostOpen    = 256        // files
	lastNice    = 10         // pages come first
	firstToKill = "1000"     // where the machine itself runs out of memory
)

// fence takes from this process what a clip has no need of: memory and time without end,
// the network, writing files, and starting programs. Of a patient parent, beside which no page is
// waited for, it keeps the time and its turn.
func fence(patient bool) error {
	_ = os.WriteFile("/proc/self/oom_score_adj", []byte(firstToKill), 0) // best effort: not every system lets it
	computing := uint64(unix.RLIM_INFINITY)
	if !patient {
		computing = mostCPU
		_ = unix.Setpriority(unix.PRIO_PROCESS, 0, lastNice) // best effort
	}
	for _, l := range []struct {
		what int
		most uint64
	}{
		{unix.RLIMIT_DATA, mostMemory},
		{unix.RLIMIT_CPU, computing},
		{unix.RLIMIT_NOFILE, mostOpen},
		{unix.RLIMIT_FSIZE, 0},
		{unix.RLIMIT_CORE, 0},
	} {
		if err := unix.Setrlimit(l.what, &unix.Rlimit{Cur: l.most, Max: l.most}); err != nil {
			return fmt.Errorf("the worker could not limit itself: %w", err)
		}
	}
	return filterCalls()
}

// forbidden are the system calls by which a process reaches the network, other programs
// or other processes.
var forbidden = []uint32{
	unix.SYS_SOCKET, unix.SYS_SOCKETPAIR, unix.SYS_CONNECT, unix.SYS_BIND, unix.SYS_LISTEN, unix.SYS_ACCEPT4,
	unix.SYS_EXECVE, unix.SYS_EXECVEAT, unix.SYS_PTRACE, unix.SYS_PROCESS_VM_READV, unix.SYS_PROCESS_VM_WRITEV,
	unix.SYS_IO_URING_SETUP, unix.SYS_BPF, unix.SYS_KEYCTL, unix.SYS_MOUNT, unix.SYS_UNSHARE, unix.SYS_SETNS,
}

// Of Linux, not in every version of the library: linux/audit.h and linux/seccomp.h.
const (
	archAMD64   = 0xc000003e
	archARM64   = 0xc00000b7
	x32Bit      = 0x40000000
	offsetNr    = 0 // of struct seccomp_data
	offsetArch  = 4
	filterTSync = 1
	setFilter   = 1
	retAllow    = 0x7fff0000
	retErrno    = 0x00050000
	retKill     = 0x80000000
)

// filterCalls makes the forbidden calls fail with "not permitted", in every thread.
func filterCalls() error {
	arch, ok := map[string]uint32{"amd64": archAMD64, "arm64": archARM64}[runtime.GOARCH]
	if !ok {
		return fmt.Errorf("the worker cannot fence itself in on %s", runtime.GOARCH)
	}
	load := func(k uint32) unix.SockFilter {
		return unix.SockFilter{Code: unix.BPF_LD | unix.BPF_W | unix.BPF_ABS, K: k}
	}
	ret := func(k uint32) unix.SockFilter { return unix.SockFilter{Code: unix.BPF_RET | unix.BPF_K, K: k} }
	jump := func(how uint16, k uint32, yes, no uint8) unix.SockFilter {
		return unix.SockFilter{Code: unix.BPF_JMP | how | unix.BPF_K, K: k, Jt: yes, Jf: no}
	}
	deny := retErrno | uint32(unix.EPERM)
	code := []unix.SockFilter{
		load(offsetArch), jump(unix.BPF_JEQ, arch, 1, 0), ret(retKill),
		load(offsetNr), jump(unix.BPF_JGE, x32Bit, 0, 1), ret(deny),
	}
	for _, nr := range forbidden {
		code = append(code, jump(unix.BPF_JEQ, nr, 0, 1), ret(deny))
	}
	code = append(code, ret(retAllow))
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return fmt.Errorf("the worker could not give up its privileges: %w", err)
	}
	prog := unix.SockFprog{Len: uint16(len(code)), Filter: &code[0]}
	_, _, e := unix.Syscall(unix.SYS_SECCOMP, setFilter, filterTSync, uintptr(unsafe.Pointer(&prog)))
	runtime.KeepAlive(code)
	if e != 0 {
		return errors.Join(errors.New("the worker could not shut itself off from the network"), e)
	}
	return nil
}
