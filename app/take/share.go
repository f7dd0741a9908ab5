package take

import "sync"

// eachOrder does n pieces of work side by side. Each writes only its own result,
// so that what comes out does not depend on the order.
func eachOrder(n int, work func(i int)) {
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { work(i) })
	}
	wg.Wait()
}
