package sysclock

import (
	"strconv"
	"time"
	"unsafe"

	"golang.org/x/sys/windows"
	"golang.org/x/sys/windows/registry"
)

var (
	kernelbase    = windows.NewLazySystemDLL("kernelbase.dll")
	interruptTime = kernelbase.NewProc("QueryInterruptTime")
	unbiasedTime  = kernelbase.NewProc("QueryUnbiasedInterruptTime")
)

func readClocks() (mono, awake time.Duration) {
	return query(interruptTime), query(unbiasedTime)
}

// query reads a counter of 100 ns steps since boot.
func query(proc *windows.LazyProc) time.Duration {
	if proc.Find() != nil {
		return 0 // both exist since Windows 10
	}
	var ticks uint64
	// QueryInterruptTime returns nothing, the other a success flag that is
	// false only for a nil pointer.
	_, _, _ = proc.Call(uintptr(unsafe.Pointer(&ticks)))
	return time.Duration(ticks) * 100
}

// bootMark is the counter of starts that Windows keeps for its own prefetching.
func bootMark() string {
	const path = `SYSTEM\CurrentControlSet\Control\Session Manager\Memory Management\PrefetchParameters`
	key, err := registry.OpenKey(registry.LOCAL_MACHINE, path, registry.QUERY_VALUE)
	if err != nil {
		return ""
	}
	n, _, err := key.GetIntegerValue("BootId")
	if cerr := key.Close(); err != nil || cerr != nil {
		return ""
	}
	return "boot-" + strconv.FormatUint(n, 10)
}
